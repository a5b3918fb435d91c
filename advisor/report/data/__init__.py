"""For programs: JSON with its schema, and the workbook."""
