/* decide and all that it stands on (M21 to M33), on invented heads against an independent implementation in Python of
 * the same rules: tests/reference/decision_heads.txt says what is in it. Shades, patterns, pieces, verdicts and counts
 * must be the same; gaps and distances within 1e-6, which the rounding of CIEDE2000's kernel stays far below. */
#include "support/decision_lines.h"
#include "support/near.h"

#include <stdlib.h>
#include <string.h>

static const double TOLERANCE = 1e-6;

/* Where the table is being read. */
typedef struct reader {
    lines lines;
    char head[40];
    const wm_decided *decided; /* what is being compared: the decision or a step of its scenarios */
    wm_scenarios later;
    size_t step, compared;
} reader;

static void same_text(const reader *r, const char *what, const char *got, const char *line)
{
    size_t size = strlen(got);
    if (strncmp(got, line, size) != 0 || line[size] != ' ')
        fail_msg("head %s %s: got %s, expected %s", r->head, what, got, line);
}

static void compare_candidate(reader *r, const char *what, const wm_candidate *candidate, const char *line)
{
    char text[LINES_TEXT_SIZE], name[100];
    same_text(r, what, lines_text(text, r->decided, candidate), line);
    snprintf(name, sizeof name, "head %s: gap of the %s", r->head, what);
    near(name, candidate ? candidate->gap : 0, strtod(strrchr(line, ' '), NULL), TOLERANCE);
    r->compared++;
}

static void compare_numbers(reader *r, const char *line)
{
    const wm_verdict_limits limits = WM_VERDICT_LIMITS_DEFAULT;
    const wm_decided *d = r->decided;
    wm_outlook outlook = wm_decided_outlook(d, d->chosen.held, &limits);
    double far[WM_DRAW_ROWS], expected[5];
    char verdict[16], name[100];
    int best;
    size_t count;
    wm_candidate_far(far, &d->pool, d->chosen.held);
    assert_int_equal(sscanf(line, "%lf %lf %lf %lf %lf %d %15s %zu", &expected[0], &expected[1], &expected[2],
                            &expected[3], &expected[4], &best, verdict, &count),
                     8);
    snprintf(name, sizeof name, "head %s", r->head);
    near(name, wm_draws_mean(far), expected[0], TOLERANCE);
    near(name, wm_candidate_near(&d->pool, d->chosen.held), expected[1], TOLERANCE);
    for (int i = 0; i < 3; i++)
        near(name, outlook.within[i], expected[2 + i], TOLERANCE);
    assert_int_equal(wm_best_in_10(&d->pool, d->chosen.held), best);
    assert_string_equal(wm_verdict_name(outlook.verdict), verdict);
    assert_int_equal(d->pool.count, count);
}

static void compare_role(const reader *r, const char *line)
{
    for (int role = 0; role < WM_ROLES; role++) {
        const char *name = wm_role_name((wm_role)role);
        if (strncmp(line, name, strlen(name)) != 0)
            continue;
        char got[1000];
        const wm_role_list *list = &r->decided->roles.of[role];
        int used = snprintf(got, sizeof got, "%s", name);
        for (size_t i = 0; i < list->count; i++)
            used += snprintf(got + used, sizeof got - (size_t)used, " %s", list->shades[i]->swatch->code);
        if (strcmp(got, line) != 0)
            fail_msg("head %s: roles %s, expected %s", r->head, got, line);
    }
}

static void finish(reader *r)
{
    wm_scenarios_free(&r->later);
    lines_done(&r->lines);
    r->decided = NULL;
    r->step = 0;
}

static void start(reader *r, const char *line)
{
    wm_error err = { 0 };
    int layers, scenarios;
    assert_int_equal(sscanf(line, "%d %d", &layers, &scenarios), 2);
    if (lines_decide(&r->lines, layers, &err))
        fail_msg("%s", err.text);
    r->decided = &r->lines.decided;
    if (scenarios && wm_scenarios_of(&r->later, r->decided, &err))
        fail_msg("%s", err.text);
}

static void take(reader *r, const char *line)
{
    const wm_decided *d = r->decided;
    if (strncmp(line, "head ", 5) == 0) {
        finish(r);
        snprintf(r->head, sizeof r->head, "%.30s", line + 5);
    } else if (strncmp(line, "decide ", 7) == 0) {
        start(r, line + 7);
    } else if (strncmp(line, "scenario ", 9) == 0) {
        assert_true(r->step < r->later.count);
        near("share", r->later.steps[r->step].share, strtod(line + 9, NULL), TOLERANCE);
        r->decided = &r->later.steps[r->step++].decided;
    } else if (strncmp(line, "choice ", 7) == 0) {
        compare_candidate(r, "choice", d->chosen.held, line + 7);
    } else if (strncmp(line, "runner ", 7) == 0) {
        compare_candidate(r, "runner", d->chosen.runner_up, line + 7);
    } else if (strncmp(line, "numbers ", 8) == 0) {
        compare_numbers(r, line + 8);
    } else if (strncmp(line, "role ", 5) == 0) {
        compare_role(r, line + 5);
    } else if (line[0] != '#' && line[0] != '\0' && !lines_take(&r->lines, line)) {
        fail_msg("not read: %s", line);
    }
}

static void compare_table(const char *name, size_t least)
{
    char path[1000], line[1000];
    snprintf(path, sizeof path, "%s/reference/%s", getenv("TESTS_DIR"), name);
    FILE *table = fopen(path, "r");
    reader *r = calloc(1, sizeof *r);
    assert_non_null(table);
    assert_non_null(r);
    while (fgets(line, sizeof line, table)) {
        line[strcspn(line, "\n")] = '\0';
        take(r, line);
    }
    assert_true(r->compared >= least);
    finish(r);
    worst_print(name);
    fclose(table);
    free(r);
}

static void invented_heads_come_out_as_in_another_implementation(void **state)
{
    (void)state;
    compare_table("decision_heads.txt", 51);
}

/* DV5 to DV7, DV9: 11 choices with their runners-up, five steps of more gray. */
static void the_check_cases_come_out(void **state)
{
    (void)state;
    compare_table("decision_checks.txt", 27);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_check_cases_come_out),
        cmocka_unit_test(invented_heads_come_out_as_in_another_implementation),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
