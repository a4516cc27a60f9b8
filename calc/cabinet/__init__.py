"""The wooden box: joints, panels, braces, the air that is left inside, and what it weighs."""
