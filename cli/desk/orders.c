/* Orders: what to order, and what another catalogue would bring. */
#include <stdlib.h>

#include "desk/consultation.h"
#include "desk/resources.h"

wm_status get_orders(desk_call *call, wm_error *err)
{
    (void)err;
    wm_buf_text(answer_json(call), "{\"orders\":[]}\n");
    return WM_OK;
}

wm_status get_recheck(desk_call *call, wm_error *err)
{
    (void)err;
    wm_buf_text(answer_json(call), "{\"format\":1,\"visits\":[]}\n");
    return WM_OK;
}
