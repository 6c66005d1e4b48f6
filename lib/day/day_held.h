/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A day as the library holds it: what its file says, and the jobs of its pieces. Copied by value.
 */
#ifndef PCI_DAY_DAY_HELD_H
#define PCI_DAY_DAY_HELD_H

#include "pourclock/day.h"

#define PCI_DAY_COMB_MOST     40
#define PCI_DAY_ACTS_MOST     48
#define PCI_DAY_WORD_SIZE     24
#define PCI_DAY_BATCHES_MOST  24
#define PCI_DAY_BREAKS_MOST   8
#define PCI_DAY_SPAN_MOST     45 /* days from the first to the last of them */
#define PCI_DAY_HOLIDAYS_MOST 40
#define PCI_DAY_HOURS_MOST    24
#define PCI_DAY_SLOTS_MOST    32   /* jobs of a piece that differ by the hour or the day */
#define PCI_DAY_AIR_MOST      1500 /* rows of the shop's temperature */
#define PCI_DAY_KITS_MOST     8
#define PCI_DAY_SETUP_MOST_S  14400.0  /* to set a mold up */
#define PCI_DAY_REST_MOST_S   PC_DAY_S /* of a mold */
#define PCI_DAY_STEP_S        60.0     /* the timetable's grid: whole minutes */

/* One hands-on job of a casting, seconds after the casting's start. */
typedef struct pci_day_task {
    double from_s, until_s;
    pc_day_do what; /* what it begins with */
    size_t part;
    int layer; /* 0: none */
} pci_day_task;

#define PCI_DAY_RESINS_MOST                                                                        \
    4 /* of a casting beside its piece's; what there is more is the last                           \
       */

/* What a hands-on job is made of, in the order it is begun. */
typedef struct pci_day_act {
    int at_s;                              /* after the casting's start, rounded up */
    unsigned char task, what, part, layer; /* of the job; a pc_day_do; numbers as in pci_day_task */
    unsigned char resin;                   /* of a pour: 0: the piece's, else of its other ones */
    double part_a_kg, part_b_kg;           /* of a pour: to weigh, cup loss included; else 0 */
    double filler_kg;                      /* of a pour; 0: none */
} pci_day_act;

/* A batch of a casting in the air: a steady rate, seconds after the casting's start. */
typedef struct pci_day_batch {
    double from_s, to_s, vapor_kg;
} pci_day_batch;

/* What a casting gives off, and the shop its piece file states; NaN where unknown or not stated. */
typedef struct pci_day_vapor {
    pc_air_answer answer;
    char name[64];
    double limit_fraction, m3_per_kg, mixing, room_m3, ventilation_m3_s;
} pci_day_vapor;

/* A casting as the day sees it. */
typedef struct pci_day_job {
    bool feasible; /* its schedule holds */
    size_t task_count;
    pci_day_task task[PCI_DAY_COMB_MOST];   /* by time, apart from each other */
    double station_from_s, station_until_s; /* on the machine; NaN: needs none */
    double ready_s;                         /* demold not before */
    /* For words alone: how it is turned, its parts (names cut), and what each task is made of;
     * acts beyond PCI_DAY_ACTS_MOST are left out. */
    pc_method method;
    size_t part_count;
    char part_name[PC_PARTS_MOST][PCI_DAY_WORD_SIZE];
    bool solid[PC_PARTS_MOST];
    unsigned char laid_by[PC_PARTS_MOST][PC_LAYERS_MOST]; /* a pc_coat_method of each layer */
    size_t act_count;
    pci_day_act act[PCI_DAY_ACTS_MOST];
    pci_day_vapor vapor;
    size_t batch_count;
    pci_day_batch batch[PCI_DAY_BATCHES_MOST];
    char other_resin[PCI_DAY_RESINS_MOST][64]; /* of parts and layers; "" past the last */
} pci_day_job;

/* Whether a casting stays in its mold at night. X(name, word in a file) */
#define PCI_DAY_STAY_TABLE(X)                                                                      \
    X(PCI_DAY_STAYS_IF_LATE, "if late")                                                            \
    X(PCI_DAY_STAYS, "yes")                                                                        \
    X(PCI_DAY_STAYS_NOT, "no")

typedef enum pci_day_stay {
#define PCI_DAY_STAY_ENUM_(name, word) name,
    PCI_DAY_STAY_TABLE(PCI_DAY_STAY_ENUM_)
#undef PCI_DAY_STAY_ENUM_
} pci_day_stay;

typedef struct pci_day_piece {
    char name[PC_NAME_SIZE];
    char path[256];
    pc_resin resin; /* for its cautions; its name is "" where the piece was not read */
    int copies, molds;
    pci_day_stay stay;
    double clean_s, rest_s; /* hands-on after each demold; then the mold stands, without hands */
    int lasts, used;        /* castings a mold lasts; 0: any number; that each has made so far */
    size_t mold_of;         /* 1 + the piece whose molds it is poured in; 0: its own */
    double due_s;           /* clock, from midnight before the first day; NaN: none */
    /* One job for the whole day, or one for each hour of it from the day's start (the shop's
     * temperature by the clock): of a casting that starts in that hour. by_date: job_at has the
     * number of that job for every working day and hour. */
    size_t job_count;
    bool by_date;
    unsigned char job_at[PC_DAY_DAYS_MOST][PCI_DAY_HOURS_MOST];
    pci_day_job job[PCI_DAY_SLOTS_MOST];
} pci_day_piece;

typedef struct pci_day_hours {
    double from_s, until_s; /* clock; until_s 0: closed */
} pci_day_hours;

/* The shop's air at a moment, its clock counted from midnight before the first day. */
typedef struct pci_day_air_point {
    double clock_s, T_K;
} pci_day_air_point;

/* A resin's kits: what is left of the one that is open, and what a new one holds, A and B together.
 */
typedef struct pci_day_kit {
    char resin[PC_NAME_SIZE]; /* its name, as the pieces' resin has it */
    double left_kg, holds_kg;
    int opened;    /* day after the first: of what is left; negative before it */
    int open_days; /* shelf life once opened; 0: any time */
} pci_day_kit;

typedef struct pci_day {
    char name[PC_NAME_SIZE];
    char shop[1024];       /* the shop.ini its pieces are read over; "": none */
    double start_s, end_s; /* clock; at most 24 h */
    int days;              /* working days; 0 is 1 */
    int first[3];          /* year, month, day; year 0: no date, and every day is worked */
    bool by_weekday;       /* week holds the hours; else start_s to end_s, with a date Mon to Fri */
    pci_day_hours week[7]; /* from Monday */
    size_t holiday_count;
    int holiday[PCI_DAY_HOLIDAYS_MOST][2]; /* first and last, days after `first` */
    int hands, stations;
    double demold_s, setup_s; /* hands-on time of each */
    size_t break_count;
    pc_day_break rest[PCI_DAY_BREAKS_MOST];
    size_t air_count; /* by time; 0: the shop is as the piece files say */
    pci_day_air_point air[PCI_DAY_AIR_MOST];
    size_t kit_count;
    pci_day_kit kit[PCI_DAY_KITS_MOST];
    int orders_most; /* tried; 0: as many as take some 0.3 to 0.9 s */
    size_t piece_count;
    pci_day_piece piece[PC_DAY_PIECES_MOST];
} pci_day;

/* Purpose:  a day to hand out, with a copy of what is held. Returned: to be freed by pc_day_free;
 *           NULL where memory is out. */
pc_day *pci_day_hand_out(const pci_day *held);

/* Purpose:  as the functions of their names that take what was handed out. pci_day_make: *plan is
 *           NULL after an error. pci_day_read: *day is filled as far as it could be read. */
pc_status pci_day_read(const char *shop, const char *path, pci_day *day, pc_errors *errors);
pc_status pci_day_make(const pci_day *day, pc_day_plan **plan, pc_errors *errors);
pc_status pci_day_need_of(const pci_day *day, int castings, pc_day_need *need, pc_errors *errors);
void pci_day_date_text(char *text, size_t size, const pci_day *day, double clock_s);
size_t pci_day_weigh(const pci_day *day, const pc_day_plan *plan, const pc_day_workday *workday,
                     pc_day_resin *resin);

#endif
