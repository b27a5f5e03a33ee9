"""What the stages hand each other: frozen values, checked when made, SI inside."""
