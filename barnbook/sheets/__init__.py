"""What leaves and enters the book as a document: line sheet, cage cards, calendar, tables."""
