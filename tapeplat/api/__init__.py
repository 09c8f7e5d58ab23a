"""What `import tapeplat` offers to other programs and to notebooks; commands, class and page use it, too."""
