"""Pictures of our own as inline SVG, one module each: engine values in, geometry and markup out, no database."""
