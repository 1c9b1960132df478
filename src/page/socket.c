/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Sockets, which POSIX and Windows have under other headers. Of Windows only the syntax is checked.
 */
#include "page/socket.h"

#include <stdint.h>
#include <string.h>

#ifdef _WIN32
#include <winsock2.h>
#define SHUT_RDWR SD_BOTH
#else
#include <netinet/in.h>
#include <sys/socket.h>
#endif

const struct sockaddr *loopback_port(loopback *into, int port)
{
    struct sockaddr_in address = {.sin_family = AF_INET,
                                  .sin_port = htons((uint16_t)port),
                                  .sin_addr.s_addr = htonl(INADDR_LOOPBACK)};
    _Static_assert(sizeof address <= sizeof *into, "an address has room");
    memcpy(into, &address, sizeof address);
    return (const struct sockaddr *)into;
}

void socket_shut(int descriptor)
{
    shutdown(descriptor, SHUT_RDWR);
}
