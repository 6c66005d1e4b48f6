/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The bench's log on disk: append-only, each line checked, on the disk before it counts. */
#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <unistd.h>

#include "base/text.h"
#include "base/try.h"
#include "bench/event_line.h"
#include "bench/log_file.h"
#include "input/whole_file.h"
