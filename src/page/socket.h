/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* What the server asks of sockets, whatever the system. */
#ifndef SPOTFIELD_PAGE_SOCKET_H
#define SPOTFIELD_PAGE_SOCKET_H

struct sockaddr;

/* Room for an address of this machine. */
typedef struct loopback {
    unsigned long long room[16];
} loopback;

/* A port of 127.0.0.1, which no other machine reaches; what is returned lies in *into. */
const struct sockaddr *loopback_port(loopback *into, int port);

/* Ends what comes in and goes out; the socket stays open. */
void socket_shut(int descriptor);

#endif
