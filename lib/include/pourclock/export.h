/* SPDX-License-Identifier: GPL-3.0-or-later */
/* PC_API marks what the shared library exports; everything else is hidden. PC_PRINTF(n, m) marks a
 * function whose argument n is a format, of the arguments from m on. */
#ifndef POURCLOCK_EXPORT_H
#define POURCLOCK_EXPORT_H

#if defined(__GNUC__)
#define PC_API          __attribute__((visibility("default")))
#define PC_PRINTF(n, m) __attribute__((format(printf, n, m)))
#else
#define PC_API
#define PC_PRINTF(n, m)
#endif

#ifdef __cplusplus
#define PC_BEGIN_DECLS extern "C" {
#define PC_END_DECLS   }
#else
#define PC_BEGIN_DECLS
#define PC_END_DECLS
#endif

#endif
