"""Session sheets as PDF: one, several in one file, or a group side by side, set by Typst from issued sheets."""
