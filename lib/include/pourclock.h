/* SPDX-License-Identifier: GPL-3.0-or-later */
/* libpourclock: timed pour-and-turn schedules for hollow castings in resin. */
#ifndef POURCLOCK_H
#define POURCLOCK_H

#include "pourclock/bench.h"
#include "pourclock/cuptest.h"
#include "pourclock/day.h"
#include "pourclock/errors.h"
#include "pourclock/file.h"
#include "pourclock/film.h"
#include "pourclock/joint.h"
#include "pourclock/json.h"
#include "pourclock/mesh.h"
#include "pourclock/mold.h"
#include "pourclock/piece.h"
#include "pourclock/plain_text.h"
#include "pourclock/quantity.h"
#include "pourclock/resin.h"
#include "pourclock/safety.h"
#include "pourclock/schedule.h"
#include "pourclock/shape.h"
#include "pourclock/status.h"
#include "pourclock/supplies.h"
#include "pourclock/turn.h"
#include "pourclock/version.h"
#include "pourclock/vocabulary.h"
#include "pourclock/warm.h"
#include "pourclock/words.h"

#endif
