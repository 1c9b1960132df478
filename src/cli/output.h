/* Closing standard output, so that a result that did not arrive is not called done. */
#ifndef SPOTFIELD_CLI_OUTPUT_H
#define SPOTFIELD_CLI_OUTPUT_H

/* The exit status of a run that would end with `status`: another one where standard output could
 * not be written. A reader that has gone away is no news and is not told. */
int output_close(int status);

#endif
