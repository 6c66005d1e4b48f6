/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The caster's own command, run at each alarm with its text in POURCLOCK_ALARM. */
#include <errno.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <sys/wait.h>
#include <unistd.h>

#include "bench/bench_run.h"

void bench_alarm_command(const struct bench_session *session, const char *command) {
    if (command == NULL || session->alarm_count == 0)
        return;
    pid_t child = fork();
    if (child == 0) {
        /* Twice, so that nobody has to wait for it. */
        pid_t grandchild = fork();
        if (grandchild != 0)
            _exit(grandchild < 0);
        char clean[sizeof session->alarm[0].text];
        pc_text_clean(session->alarm[session->alarm_count - 1].text, clean, sizeof clean);
        setenv("POURCLOCK_ALARM", clean, 1);
        if (freopen("/dev/null", "r", stdin) == NULL || freopen("/dev/null", "w", stdout) == NULL)
            _exit(127);
        signal(SIGXFSZ, SIG_DFL);
        execl("/bin/sh", "sh", "-c", command, (char *)NULL);
        _exit(127);
    }
    if (child > 0)
        while (waitpid(child, NULL, 0) < 0 && errno == EINTR)
            ;
}
