/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Raw sockets, so that a test may also be rude. */
#include "support/check.h"

#include "client.h"

#include <arpa/inet.h>
#include <netinet/in.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/socket.h>
#include <sys/time.h>
#include <unistd.h>

unsigned client_port(const char *address)
{
    unsigned port = 0;
    assert_int_equal(sscanf(address, "http://127.0.0.1:%u/", &port), 1);
    return port;
}

void client_token(const char *address, char token[33])
{
    assert_int_equal(sscanf(address, "http://127.0.0.1:%*u/%32[0-9a-f]/", token), 1);
}

int client_try(unsigned port)
{
    struct sockaddr_in to = {.sin_family = AF_INET,
                             .sin_port = htons((uint16_t)port),
                             .sin_addr.s_addr = htonl(INADDR_LOOPBACK)};
    int descriptor = socket(AF_INET, SOCK_STREAM, 0);
    assert_true(descriptor >= 0);
    struct timeval patience = {.tv_sec = 60};
    setsockopt(descriptor, SOL_SOCKET, SO_RCVTIMEO, &patience, sizeof patience);
    if (connect(descriptor, (struct sockaddr *)&to, sizeof to) == 0)
        return descriptor;
    close(descriptor);
    return -1;
}

int client_connect(unsigned port)
{
    int descriptor = client_try(port);
    assert_true(descriptor >= 0);
    return descriptor;
}

void client_send(int descriptor, const void *bytes, size_t count)
{
    const char *at = bytes;
    while (count > 0) {
        ssize_t sent = send(descriptor, at, count, MSG_NOSIGNAL);
        if (sent <= 0)
            return;
        at += sent;
        count -= (size_t)sent;
    }
}

answer client_receive(int descriptor)
{
    answer made = {.bytes = malloc(1)};
    char buffer[65536];
    ssize_t count;
    assert_non_null(made.bytes);
    while ((count = recv(descriptor, buffer, sizeof buffer, 0)) > 0) {
        made.bytes = realloc(made.bytes, made.size + (size_t)count + 1);
        assert_non_null(made.bytes);
        memcpy(made.bytes + made.size, buffer, (size_t)count);
        made.size += (size_t)count;
    }
    close(descriptor);
    made.bytes[made.size] = '\0';
    if (sscanf(made.bytes, "HTTP/1.%*d %d", &made.status) != 1)
        made.status = 0;
    const char *end = strstr(made.bytes, "\r\n\r\n");
    made.body = end ? end + 4 : "";
    return made;
}

void answer_clear(answer *discarded)
{
    free(discarded->bytes);
    *discarded = (answer){0};
}

answer client_ask(const char *address, const char *path, const void *body, size_t size)
{
    char token[33], head[1024];
    unsigned port = client_port(address);
    client_token(address, token);
    int descriptor = client_connect(port);
    int length = snprintf(head, sizeof head,
                          "%s /%s/%s HTTP/1.1\r\nHost: 127.0.0.1:%u\r\n"
                          "Connection: close\r\n",
                          body ? "POST" : "GET", token, path, port);
    if (body)
        length += snprintf(head + length, sizeof head - (size_t)length,
                           "Origin: http://127.0.0.1:%u\r\nContent-Length: %zu\r\n", port, size);
    client_send(descriptor, head, (size_t)length);
    client_send(descriptor, "\r\n", 2);
    if (body)
        client_send(descriptor, body, size);
    return client_receive(descriptor);
}
