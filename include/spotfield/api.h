/* The one macro that marks a function as part of the library's public face. */
#ifndef SPOTFIELD_API_H
#define SPOTFIELD_API_H

#if defined(__GNUC__)
#define SF_API __attribute__((visibility("default")))
#else
#define SF_API
#endif

#endif
