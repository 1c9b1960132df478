/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Names of files in folders, as the user typed the folder. */
#include "core/path.h"

#include <string.h>

#include "core/text.h"

char *path_join(const char *folder, const char *name)
{
    size_t length = strlen(folder);
    bool parted = length == 0 || folder[length - 1] == '/';
    return text_format("%s%s%s", folder, parted ? "" : "/", name);
}
