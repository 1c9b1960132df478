/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

// A C++ program calls the library: the headers compile as C++, and the names link as C names.
#include <cstdio>
#include <string>

#include <spotfield/spotfield.h>

int main()
{
    const std::string folder = std::string(SOURCE_ROOT) + "/samples/minimal";
    sf_diagnostics diagnostics{};
    sf_job *job = nullptr;
    const sf_status status = sf_job_read(folder.c_str(), &job, &diagnostics);
    const bool read = status == SF_OK && job->part_count > 0 && job->board.width_mm > 0;
    if (!read)
        std::fprintf(stderr, "samples/minimal read from C++: %s\n", sf_status_text(status));
    sf_job_free(job);
    sf_diagnostics_clear(&diagnostics);
    return read ? 0 : 1;
}
