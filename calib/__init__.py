"""What the printed reference tells: its geometry, the plane, the lens and the tapes' colours."""
