"""The registered worksheets, one module per subject."""
