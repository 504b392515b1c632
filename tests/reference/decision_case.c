/* Decisions from plain lines on stdin (support/decision_lines.h), answers on stdout, for other implementations of the
 * rules to be compared with. Besides those lines:
 *
 *   decide LAYERS SCENARIOS            answers, then starts afresh but for the shades
 *   clear                              forgets the shades as well
 */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "support/decision_lines.h"

static void print_decided(const wm_decided *d)
{
    const wm_verdict_limits limits = WM_VERDICT_LIMITS_DEFAULT;
    const wm_candidate *held = d->chosen.held, *runner = d->chosen.runner_up;
    wm_outlook outlook = wm_decided_outlook(d, held, &limits);
    double far[WM_DRAW_ROWS];
    char text[LINES_TEXT_SIZE];
    wm_candidate_far(far, &d->pool, held);
    printf("choice %s %.12g\n", lines_text(text, d, held), held->gap);
    printf("runner %s %.12g\n", lines_text(text, d, runner), runner ? runner->gap : 0);
    printf("numbers %.12g %.12g %.12g %.12g %.12g %d %s %zu\n", wm_draws_mean(far), wm_candidate_near(&d->pool, held),
           outlook.within[0], outlook.within[1], outlook.within[2], wm_best_in_10(&d->pool, held),
           wm_verdict_name(outlook.verdict), d->pool.count);
    for (int r = 0; r < WM_ROLES; r++) {
        printf("role %s", wm_role_name((wm_role)r));
        for (size_t i = 0; i < d->roles.of[r].count; i++)
            printf(" %s", d->roles.of[r].shades[i]->swatch->code);
        printf("\n");
    }
}

static bool decide(lines *l, int layers, bool scenarios)
{
    wm_error err = { 0 };
    wm_scenarios later = { 0 };
    wm_status status = lines_decide(l, layers, &err);
    if (!status)
        print_decided(&l->decided);
    if (!status && scenarios)
        status = wm_scenarios_of(&later, &l->decided, &err);
    for (size_t i = 0; i < later.count; i++) {
        printf("scenario %.12g\n", later.steps[i].share);
        print_decided(&later.steps[i].decided);
    }
    wm_scenarios_free(&later);
    lines_done(l);
    if (status)
        fprintf(stderr, "%s\n", err.text);
    printf("end\n");
    fflush(stdout);
    return status == WM_OK;
}

int main(void)
{
    static lines all;
    char line[1000];
    int layers, scenarios;
    bool good = true;
    while (good && fgets(line, sizeof line, stdin)) {
        if (sscanf(line, "decide %d %d", &layers, &scenarios) == 2)
            good = decide(&all, layers, scenarios != 0);
        else if (strncmp(line, "clear", 5) == 0)
            all.shade_count = 0;
        else if (!lines_take(&all, line))
            fprintf(stderr, "not read: %s", line);
    }
    return !good;
}
