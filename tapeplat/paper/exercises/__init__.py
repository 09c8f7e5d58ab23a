"""What sheets need to know of the rules, and questions made from them."""
