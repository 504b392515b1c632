#include "measure/warnings.h"

#include <stdio.h>

static const wm_warning_entry WARNINGS[WM_WARN_COUNT] = {
    [WM_WARN_NO_AID] = { "no_aid", "nothing of known colour in the photo",
                         "hold a swatch of the catalogue at each zone, touching the hair, and take the photo again",
                         "the colour is off by 6 to 9 dE00: depth and warmth only, no shade is named" },
    [WM_WARN_CARD_ALONE] = { "card_alone", "a card alone is not enough to name a shade",
                             "to have a shade named, take the photo again with a swatch at each zone",
                             "the right shade is among the five nearest in 9 of 10 zones with 30 shades, in 7 of 10 with 120" },
    [WM_WARN_NO_SWATCH_AT_ZONE] = { "no_swatch_at_zone", "no swatch is held at this zone",
                                    "hold one there, touching the hair",
                                    "light varies over a head: this zone is off by a fifth more in even light, by twice as much in other light" },
    [WM_WARN_LIGHT_UNKNOWN] = { "light_unknown", "light unknown: a photo can't prove daylight",
                                "use indirect daylight and turn the lamps off",
                                "lamp or mixed light costs 1 to 2 dE00 more than the uncertainty says" },
    [WM_WARN_UNEVEN_LIGHT_ON_HEAD] = { "uneven_light_on_head",
                                       "the zones differ a lot in lightness: it may be the light or the hair",
                                       "turn her so that the window lights all zones evenly, or hold a swatch at each zone",
                                       "without swatches depth may be wrong by as much as that difference" },
    [WM_WARN_FLASH_FIRED] = { "flash_fired", "the flash fired", "switch it off and use indirect daylight",
                              "shine and fall-off from the flash read as colour: more error than the uncertainty says" },
    [WM_WARN_TOO_DARK] = { "too_dark", "too dark", "move closer to a window, or expose for the hair",
                           "rounding in the file costs 1 dE00 at a quarter of full exposure, 4 at a sixteenth" },
    [WM_WARN_NOISY] = { "noisy", "grainy picture", "find more daylight and hold the phone still",
                        "gray share and small zones suffer most" },
    [WM_WARN_CLIPPED_ZONE] = { "clipped_zone", "blown-out or black pixels",
                               "tap this hair on the screen to expose for it, and keep out of direct sun",
                               "above 5 % the colour is skewed, above 20 % the zone is left out" },
    [WM_WARN_CLIPPED_AID] = { "clipped_aid", "blown-out or black pixels", "expose darker, or move it out of the sun",
                              "it is not used: the answer is only as good as the aids that are left" },
    [WM_WARN_HAIR_WET_OR_SHINY] = { "hair_wet_or_shiny", "strong shine: the hair is wet, oiled or facing the window",
                                    "dry the hair, turn her away from the window",
                                    "shine reads as too light and too gray; where it is everywhere no gray share is given" },
    [WM_WARN_PHOTO_RESIZED] = { "photo_resized", "the photo is not the size the camera took",
                                "send the original, not a messenger's copy",
                                "fine gray fibres are blurred away; colour suffers little" },
    [WM_WARN_PHOTO_COMPRESSED] = { "photo_compressed", "heavily compressed",
                                   "send the original, not a messenger's copy",
                                   "about 1 dE00 more error, and the gray share is unreliable" },
    [WM_WARN_PROFILE_ASSUMED] = { "profile_assumed", "no colour profile in the file, sRGB assumed",
                                  "send the camera's own file",
                                  "nothing if it is sRGB; without aids several dE00 if it is not" },
    [WM_WARN_AIDS_DISAGREE] = { "aids_disagree", "the aids contradict each other",
                                "check the codes and cards, and hold them all in the same light as the hair",
                                "the uncertainty is widened" },
    [WM_WARN_AID_DROPPED] = { "aid_dropped", "not used", "see why, put it right and take the photo again",
                              "the answer is only as good as the aids that are left" },
    [WM_WARN_CARD_UNEVEN] = { "card_uneven", "uneven light or glare on the card",
                              "tilt it until it looks even, out of any shadow", "above 12 % it is not used" },
    [WM_WARN_CARD_NOT_IN_SAME_LIGHT] = { "card_not_in_same_light",
                                         "the card and the hair are not in the same light, or it is the wrong card",
                                         "hold the card right beside the hair",
                                         "the card says little about the hair; the swatches carry the result" },
    [WM_WARN_CARDS_MIXED_UP] = { "cards_mixed_up", "the cards are not as light or dark as they were named",
                                 "check which card is which", "no card is used" },
    [WM_WARN_CARD_LOOKS_WHITE] = { "card_looks_white", "the gray card looks white",
                                   "if it is white paper, say so (--card paper, or 'lab': [94.3, 0, 0] in the zones file)",
                                   "with paper taken for a gray card everything is measured far too dark" },
    [WM_WARN_TARGET_TURNED] = { "target_turned", "the target's corners start at the wrong patch",
                                "list the corners again from the right one", "the target is not used" },
    [WM_WARN_TARGET_PATCHES] = { "target_patches", "patches left out",
                                 "wipe the target and keep fingers, shadows and glare off it",
                                 "the fewer patches, the less certain; below 6 the target is not used" },
    [WM_WARN_SWATCH_MISLABELLED] = { "swatch_mislabelled", "does not agree with the other swatches",
                                     "check its code and that it touches the hair", "it is not used" },
    [WM_WARN_FEW_SWATCHES] = { "few_swatches",
                               "does not agree with the other aids, and there are too few swatches to tell which is wrong",
                               "check its code, or hold three swatches or more: they tell which is wrong",
                               "it is still used: trust the colour less" },
    [WM_WARN_ZONE_REFUSED] = { "zone_refused", "no colour could be measured",
                               "draw the zone larger, on hair and away from skin",
                               "this zone is left out of the match" },
    [WM_WARN_NOT_HAIR] = { "not_hair", "this is not hair",
                           "mark it on hair, or confirm that it is hair ('hair': true in the zones file)",
                           "no colour is taken from it" },
    [WM_WARN_NOT_ONLY_HAIR] = { "not_only_hair", "not only hair",
                                "draw the zone on hair alone, or check in the report what was left out",
                                "its colour is that of the hair that is left, off by 2 to 3 dE00 where the edge is soft" },
    [WM_WARN_HAIR_DOUBTFUL] = { "hair_doubtful", "can't tell whether this is hair",
                                "mark a larger area of sharp hair, or look closely and confirm that it is hair ('hair': true in the zones file)",
                                "its colour is rough: no shade is named from it" },
    [WM_WARN_GRAY_NOT_RESOLVED] = { "gray_not_resolved", "the gray share can't be told",
                                    "mark a gray-free zone, come closer, or hold a gray swatch there",
                                    "the zone is matched by its overall colour" },
    [WM_WARN_NOT_GRAY_FREE] = { "not_gray_free", "marked gray-free, but it looks gray itself",
                                "mark hair that is free of gray, or take the gray-free tick off",
                                "it is not used as the gray-free reference" },
    [WM_WARN_LIGHTER_FIBRES] = { "lighter_fibres", "lighter, coloured fibres; gray among them can't be told",
                                 "ask whether the hair was lightened", "the zone is matched by its overall colour" },
    [WM_WARN_BASE_NEVER_SEEN] = { "base_never_seen", "no pixel shows the base alone", "take a sharper or closer photo",
                                  "the gray share is known only as a range" },
    [WM_WARN_ANSWER_UNSTABLE] = { "answer_unstable", "the answer changes when the zones are moved a little",
                                  "mark this zone again, on even hair, away from edges and shine",
                                  "no shade is named" },
    [WM_WARN_PHOTO_TURNED] = { "photo_turned", "the lengths run across the picture, or lie above the roots",
                               "turn the photo upright on the phone, save it and mark it again, unless she leans, lies or wears her hair up",
                               "the colours stand; check that each zone sits where you mean it" },
    [WM_WARN_ZONES_SWAPPED] = { "zones_swapped", "the zone marked gray shows less gray than another one",
                                "check whether the two were exchanged, or marked on another photo",
                                "share and shade of her gray are read from the wrong hair" },
};

const wm_warning_entry *wm_warning_of(wm_warning_kind kind)
{
    return &WARNINGS[kind];
}

void wm_warn_why(wm_warnings *warnings, wm_warning_kind kind, const char *subject, const char *why)
{
    const wm_warning_entry *entry = wm_warning_of(kind);
    wm_warnings_add(warnings, entry->code, "%s%s%s; %s; %s", subject, *subject ? ": " : "", why, entry->action,
                    entry->cost);
}

void wm_warn(wm_warnings *warnings, wm_warning_kind kind, const char *subject, const char *detail)
{
    char why[200];
    snprintf(why, sizeof why, "%s%s%.100s%s", wm_warning_of(kind)->wrong, *detail ? " (" : "", detail,
             *detail ? ")" : "");
    wm_warn_why(warnings, kind, subject, why);
}
