/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Marks what the shared library exports. Everything else is hidden. */
#ifndef POURCLOCK_EXPORT_H
#define POURCLOCK_EXPORT_H

#if defined(__GNUC__)
#define PC_API __attribute__((visibility("default")))
#else
#define PC_API
#endif

#ifdef __cplusplus
#define PC_BEGIN_DECLS extern "C" {
#define PC_END_DECLS   }
#else
#define PC_BEGIN_DECLS
#define PC_END_DECLS
#endif

#endif
