#include "measure/advice.h"

#include <stdio.h>

static const wm_advice_entry ADVICE[WM_ADVICE_COUNT] = {
    [WM_ADVICE_NO_AID] = { "no_aid", "nothing of known colour in the photo",
                           "hold a swatch of the catalogue at each zone, touching the hair, and take the photo again",
                           "the colour is off by 6 to 9 dE00: depth and warmth only, no shade is named" },
    [WM_ADVICE_CARD_ALONE] = { "card_alone", "a card alone names no shade",
                               "take the photo again with a swatch at each zone to have one named",
                               "the right one is among the five nearest in 9 of 10 zones of 30 shades, in 7 of 10 of 120" },
    [WM_ADVICE_NO_SWATCH_AT_ZONE] = { "no_swatch_at_zone", "no swatch is held at this zone",
                                      "hold one there, touching the hair",
                                      "light differs over a head: its lightness is less sure" },
    [WM_ADVICE_LIGHT_UNKNOWN] = { "light_unknown", "light unknown: the photo can't prove daylight",
                                  "stand in indirect daylight, lamps off",
                                  "lamp or mixed light costs 1 to 2 dE00 more than the uncertainty says" },
    [WM_ADVICE_UNEVEN_LIGHT_ON_HEAD] = { "uneven_light_on_head",
                                         "zones differ much in lightness: the light or the hair",
                                         "turn the head evenly to the window, or hold a swatch at each zone",
                                         "without swatches an error in depth of up to the difference" },
    [WM_ADVICE_FLASH_FIRED] = { "flash_fired", "the flash fired", "switch it off and use indirect daylight",
                                "gloss and fall-off of the flash count as colour: more error than the uncertainty says" },
    [WM_ADVICE_TOO_DARK] = { "too_dark", "too dark", "go nearer to a window or expose for the hair",
                             "one step of the file costs 1 dE00 at a quarter of full exposure, 4 at a sixteenth" },
    [WM_ADVICE_NOISY] = { "noisy", "noisy picture", "more daylight, phone held still",
                          "gray share and small zones suffer, the claim less" },
    [WM_ADVICE_CLIPPED_ZONE] = { "clipped_zone", "burnt out or black pixels",
                                 "tap on this hair to expose for it, no direct sun",
                                 "above 5 % the colour is drawn off, above 20 % the zone gets none" },
    [WM_ADVICE_CLIPPED_AID] = { "clipped_aid", "burnt out or black pixels", "expose darker or move it out of the sun",
                                "it is not used: the claim is that of the aids that are left" },
    [WM_ADVICE_HAIR_WET_OR_SHINY] = { "hair_wet_or_shiny", "much sheen: hair wet, oiled or facing the window",
                                      "dry it, turn away from the window",
                                      "sheen is not colour: too light and too gray, gray share not given where it is everywhere" },
    [WM_ADVICE_PHOTO_RESIZED] = { "photo_resized", "the photo is not the size the camera took",
                                  "send the original, not a messenger's copy",
                                  "fine gray fibres are blurred away; colour suffers little" },
    [WM_ADVICE_PHOTO_COMPRESSED] = { "photo_compressed", "heavily compressed",
                                     "send the original, not a messenger's copy",
                                     "about 1 dE00 more, gray share unreliable" },
    [WM_ADVICE_PROFILE_ASSUMED] = { "profile_assumed", "no colour profile in the file, sRGB assumed",
                                    "send the camera's own file",
                                    "none when it is sRGB; without aids several dE00 when it is not" },
    [WM_ADVICE_AIDS_DISAGREE] = { "aids_disagree", "the aids contradict each other",
                                  "check codes and cards, hold all in the light of the hair",
                                  "the uncertainty is widened" },
    [WM_ADVICE_AID_DROPPED] = { "aid_dropped", "not used", "see why, correct it and take the photo again",
                                "the claim is that of the aids that are left" },
    [WM_ADVICE_CARD_UNEVEN] = { "card_uneven", "uneven light or glare on the card",
                                "tilt it until it looks flat, out of shadows", "above 12 % it is not used" },
    [WM_ADVICE_CARD_NOT_IN_SAME_LIGHT] = { "card_not_in_same_light",
                                           "card and hair not in the same light, or wrong card",
                                           "hold the card beside the hair",
                                           "the card says little about the hair; the swatches carry the result" },
    [WM_ADVICE_CARDS_MIXED_UP] = { "cards_mixed_up", "the cards are not as light as said", "check which card is which",
                                   "no card is used" },
    [WM_ADVICE_TARGET_TURNED] = { "target_turned", "the target's corners are listed from the wrong patch",
                                  "list them again as said", "the target is not used" },
    [WM_ADVICE_TARGET_PATCHES] = { "target_patches", "patches left out",
                                   "wipe the target, no fingers, shadows or glare on it",
                                   "the fewer patches, the less sure; below 6 the target is not used" },
    [WM_ADVICE_SWATCH_MISLABELLED] = { "swatch_mislabelled", "does not agree with the other swatches",
                                       "check its code, and that it touches the hair", "it is not used" },
    [WM_ADVICE_FEW_SWATCHES] = { "few_swatches",
                                 "does not agree with the other aids, too few swatches to tell which is wrong",
                                 "check its code; with four swatches a wrong one is found",
                                 "it is used: trust the colour less" },
    [WM_ADVICE_ZONE_REFUSED] = { "zone_refused", "no colour could be taken",
                                 "draw the zone on hair, larger, away from skin",
                                 "this zone takes no part in the match" },
    [WM_ADVICE_NOT_HAIR] = { "not_hair", "this is not hair",
                             "mark it on hair; if it is hair, confirm it ('hair': true in the zones file)",
                             "no colour is taken from it" },
    [WM_ADVICE_NOT_ONLY_HAIR] = { "not_only_hair", "not only hair",
                                  "see in the picture what was left out, or draw the zone on hair alone",
                                  "its colour is that of the rest, off by 2 to 3 dE00 where the edge is soft" },
    [WM_ADVICE_HAIR_DOUBTFUL] = { "hair_doubtful", "can't tell whether this is hair",
                                  "look at the picture of the zone; mark sharp hair, larger; if it is hair, confirm it ('hair': true in the zones file)",
                                  "its colour is rough: no shade is named by it" },
    [WM_ADVICE_GRAY_NOT_RESOLVED] = { "gray_not_resolved", "the gray share can't be told",
                                      "mark a gray-free zone, come closer, or hold a gray swatch",
                                      "the zone is matched by its overall colour" },
    [WM_ADVICE_NOT_GRAY_FREE] = { "not_gray_free", "marked gray-free, but it looks gray itself",
                                  "mark gray-free hair, or none", "it is no reference: gray is measured without one" },
    [WM_ADVICE_LIGHTER_FIBRES] = { "lighter_fibres", "lighter, coloured fibres (not gray)",
                                   "ask whether the hair was lightened", "they count as base" },
    [WM_ADVICE_BASE_NEVER_SEEN] = { "base_never_seen", "no pixel shows the base alone", "a sharper or closer photo",
                                    "the gray share is known as an interval only" },
    [WM_ADVICE_ANSWER_UNSTABLE] = { "answer_unstable", "the answer changes when the zones are moved a little",
                                    "mark this zone again, on even hair, away from edges and shine",
                                    "no shade is named" },
};

const wm_advice_entry *wm_advice_of(wm_advice advice)
{
    return &ADVICE[advice];
}

void wm_advise_why(wm_notes *notes, wm_advice advice, const char *subject, const char *why)
{
    const wm_advice_entry *entry = wm_advice_of(advice);
    wm_notes_add(notes, entry->code, "%s%s%s; %s; %s", subject, *subject ? ": " : "", why, entry->action, entry->cost);
}

void wm_advise(wm_notes *notes, wm_advice advice, const char *subject, const char *detail)
{
    char why[200];
    snprintf(why, sizeof why, "%s%s%.100s%s", wm_advice_of(advice)->wrong, *detail ? " (" : "", detail,
             *detail ? ")" : "");
    wm_advise_why(notes, advice, subject, why);
}
