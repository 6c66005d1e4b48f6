/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What a mold is made of. */
#ifndef POURCLOCK_MOLD_H
#define POURCLOCK_MOLD_H

typedef struct pc_material {
    double k_W_mK, rho_kg_m3, cp_J_kgK;
} pc_material;

/* X(name, word in files, k, rho, cp). Silicone k: Baudot et al., Cryogenics 38 (1998) 227; others
 * EN ISO 10456; cp partly from memory. */
#define PC_MOLD_TABLE(X)                                                                           \
    X(PC_SILICONE, "silicone", 0.27, 1200.0, 1300.0)                                               \
    X(PC_URETHANE_RUBBER, "urethane", 0.25, 1100.0, 1800.0)                                        \
    X(PC_PLASTER, "plaster", 0.40, 1000.0, 1000.0)                                                 \
    X(PC_RESIN_SHELL, "resin", 0.25, 1200.0, 1400.0)

typedef enum pc_mold_kind {
#define PC_MOLD_ENUM_(name, word, k, rho, cp) name,
    PC_MOLD_TABLE(PC_MOLD_ENUM_)
#undef PC_MOLD_ENUM_
        PC_MOLD_KIND_COUNT
} pc_mold_kind;

#endif
