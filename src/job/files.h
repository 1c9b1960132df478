/* The files of a job folder, each read into intake->job; board, policy and outline come first,
 * since the others are checked against them. */
#ifndef SPOTFIELD_JOB_FILES_H
#define SPOTFIELD_JOB_FILES_H

#include "job/intake.h"

void board_file_read(struct intake *intake);
void policy_file_read(struct intake *intake);
void outline_file_read(struct intake *intake);
void keepout_file_read(struct intake *intake);
void sources_file_read(struct intake *intake);
void thermogram_file_read(struct intake *intake); /* with marks.csv; before the readings */
void readings_file_read(struct intake *intake);
void parts_file_read(struct intake *intake);
void history_file_read(struct intake *intake);
void controls_file_read(struct intake *intake);

#endif
