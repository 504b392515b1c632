/* consultation: what `match` does, for a photo on the shelf and a request {zones, wishes, client}, or {zones, wishes,
 * instead_of} for a visit that is measured anew. */
#ifndef CLI_DESK_CONSULTATION_H
#define CLI_DESK_CONSULTATION_H

#include "desk/desk.h"
#include "history.h"

typedef struct consultation {
    wm_json_document *asked;
    const wm_json *body; /* the request, within asked */
    shelf_photo *photo;  /* held */
    wm_settings settings;
    clock_reading clock;
    wish_list *list;
    wm_wishes wishes;
    wm_zones zones;
    wm_catalogue catalogue;
    wm_reserved reserved;
    bool has_catalogue;
    wm_client client;    /* id 0: nobody's */
    int64_t instead_of;  /* the visit that is measured anew; 0: none */
    history past;        /* then: all her visits */
    wm_visit last;       /* her last visit, id 0: none */
    wm_visit worn;       /* the visit of what she wears, id 0: none */
    wm_plan_again again; /* of its wefts, what is sewn on once more */
    wm_report previous;  /* of last */
    int64_t rows_id;     /* the visit that tells how the rows lie in which it hangs, 0: none */
    wm_report rows;      /* of that, where it is not the last */
    wm_consult_input in;
    wm_report report;
    wm_report_pictures pictures;
    wm_buf json;
    char digest[65]; /* SHA-256 of json */
} consultation;

/** Reads the request and holds its photo: the one of the address, or, `named`, the one of the body. Close it with
 * consultation_close, also after a failure. */
wm_status consultation_open(consultation **out, desk_call *call, bool named, wm_error *err);
void consultation_close(consultation *c, desk_call *call);
/** Runs it. clock NULL: now; given, the reduced pictures are made too. Without a catalogue only the zones are
 * measured. */
wm_status consultation_run(consultation *c, desk_call *call, const clock_reading *clock, wm_error *err);

/** What is odd about saving it as a visit: "same_photo" when it is in the book already, and what wm_noticed_visit says.
 */
wm_status consultation_noticed(wm_warnings *out, const consultation *c, const desk_call *call, wm_error *err);

/** "zones" of a request: the text of a zones file. Targets are looked for beside the book. */
wm_status consultation_zones(wm_zones *out, const desk_call *call, const wm_json *body, wm_error *err);
/** The catalogue; *found false and empty when there is none yet. */
wm_status consultation_catalogue(wm_catalogue *out, bool *found, const args *a, wm_error *err);
/** Settings, and of book and catalogue what is there already: NULL, none. context_shop_close also after a failure. */
wm_status consultation_shop(context_shop *out, const desk_call *call, wm_error *err);

#endif
