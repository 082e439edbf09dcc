"""Small groups: two to eight clients on one clock, with one place's equipment, side by side."""
