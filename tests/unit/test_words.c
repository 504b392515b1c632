/* Every enum's words: to and from, one for each value. */
#include "support/near.h"

#include "core/words.h"
#include "load/load.h"
#include "match/rank.h"
#include "match/views.h"
#include "measure/aids.h"
#include "measure/claim.h"
#include "measure/gray.h"
#include "measure/hair.h"
#include "measure/place.h"
#include "measure/stage1.h"
#include "plan/length.h"
#include "report/report.h"

static void every_word_is_found_again(void **state)
{
    (void)state;
    const struct {
        const char *const *words;
        unsigned last;
    } enums[] = { { WM_CLAIM_WORDS, WM_CLAIM_ROUGH },    { WM_GRAY_STATUS_WORDS, WM_GRAY_MEASURED },
                  { WM_VERDICT_WORDS, WM_VERDICT_FAR },  { WM_STAGE1_WORDS, WM_STAGE1_CURVE },
                  { WM_PLACE_WORDS, WM_PLACE_NAPE },     { WM_HAIR_WORDS, WM_HAIR_COARSE },
                  { WM_AMOUNT_WORDS, WM_AMOUNT_THICK },  { WM_GOAL_WORDS, WM_GOAL_LENGTH },
                  { WM_UNITS_WORDS, WM_UNITS_IN },       { WM_ZONE_KIND_WORDS, WM_ZONE_TARGET },
                  { WM_WORN_WORDS, WM_WORN_UP },         { WM_AID_SET_WORDS, WM_AIDS_TARGET_SWATCHES },
                  { WM_HAIR_VERDICT_WORDS, WM_HAIR_NO }, { WM_ANSWER_WORDS, WM_ANSWER_NOTHING } };
    for (size_t i = 0; i < sizeof enums / sizeof *enums; i++) {
        for (unsigned value = 0; value <= enums[i].last; value++) {
            unsigned again = 99;
            assert_true(wm_word_find(enums[i].words, enums[i].words[value], &again));
            assert_int_equal(again, value);
            assert_string_equal(wm_word_of(enums[i].words, value), enums[i].words[value]);
        }
        assert_null(enums[i].words[enums[i].last + 1]);
    }
}

static void what_is_no_word_is_nothing(void **state)
{
    (void)state;
    unsigned value = 99;
    wm_place place = WM_PLACE_NAPE;
    assert_string_equal(wm_word_of(WM_CLAIM_WORDS, 77), "");
    assert_false(wm_word_find(WM_CLAIM_WORDS, "Name", &value));
    assert_false(wm_word_find(WM_CLAIM_WORDS, "", &value));
    assert_false(wm_word_find(WM_CLAIM_WORDS, NULL, &value));
    assert_int_equal(value, 99);
    assert_false(wm_place_parse("", &place)); /* "by kind" is said by saying nothing */
    assert_int_equal(place, WM_PLACE_NAPE);
}

static void names_are_those_of_the_table(void **state)
{
    (void)state;
    assert_string_equal(wm_claim_name(WM_CLAIM_RUNNER_UP), "runner_up");
    assert_string_equal(wm_gray_status_name(WM_GRAY_NONE_SEEN), "none seen");
    assert_string_equal(wm_verdict_name(WM_VERDICT_CLOSE), "close");
    assert_string_equal(wm_hair_name(WM_HAIR_COARSE), "coarse");
    assert_string_equal(wm_aid_set_name(WM_AIDS_CARD_SWATCHES), "card+swatches");
    assert_string_equal(wm_place_name(WM_PLACE_CROWN), "crown");
}

int main(void)
{
    const struct CMUnitTest tests[] = { cmocka_unit_test(every_word_is_found_again),
                                        cmocka_unit_test(what_is_no_word_is_nothing),
                                        cmocka_unit_test(names_are_those_of_the_table) };
    return cmocka_run_group_tests_name("words", tests, NULL, NULL);
}
