"""The exercises every practice starts with: plain data of our own description, no Django."""
