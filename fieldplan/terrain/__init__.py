"""Heights of the ground: slope, surface, grade along passes, and lines across the slope."""
