/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "pourclock.h"

int main(void) {
    return 2;
}
