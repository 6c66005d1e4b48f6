/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Lists that grow as they are filled. */
#ifndef PCI_BASE_GROW_H
#define PCI_BASE_GROW_H

#include <stdint.h>
#include <stdlib.h>

/* Purpose:  room for one more item behind `count` of them.
 * Given:    list, from malloc or NULL; *room: items there is room for; size of an item.
 * Returned: the list, perhaps moved, with *room; NULL where memory fails, and list is as it was. */
static inline void *pci_grown(void *list, size_t count, size_t *room, size_t size) {
    if (count < *room)
        return list;
    size_t larger = *room + *room / 2 + 64;
    void *moved = larger <= SIZE_MAX / 2 / size ? realloc(list, larger * size) : NULL;
    if (moved)
        *room = larger;
    return moved;
}

#endif
