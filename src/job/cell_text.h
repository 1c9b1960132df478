/* What of a cell's bytes is its text. */
#ifndef SPOTFIELD_JOB_CELL_TEXT_H
#define SPOTFIELD_JOB_CELL_TEXT_H

/* Moves *start and *end past the blanks about the text, and past the apostrophe that guards a
 * leading = + - @ in the files we write. */
void cell_text_trim(const char **start, const char **end);

#endif
