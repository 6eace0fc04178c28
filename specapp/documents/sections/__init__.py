"""The sections of the datasheet, one small module each: a book and a proposal in, sheets out."""
