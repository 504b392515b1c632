/* resources: the functions behind the routes, each in the file of its resource. */
#ifndef CLI_DESK_RESOURCES_H
#define CLI_DESK_RESOURCES_H

#include "desk/desk.h"

/* clients */
desk_route get_clients, post_client, get_client, patch_client, delete_client, get_client_visits, get_client_export,
    post_client_import;
/* visits */
desk_route post_visit, get_visit, patch_visit, delete_visit, post_visit_move, post_undo, get_visit_report,
    get_visit_client_page, get_visit_calendar, get_visit_photo, get_visit_after, get_visit_zones, post_visit_after;
/* photos */
desk_route get_photos, get_photo, post_photo, post_photo_of_folder, get_photo_preview, post_photo_match,
    post_photo_held;
/* catalogue */
desk_route get_catalogue, put_catalogue, post_catalogue_measure;
/* orders */
desk_route get_orders, post_stock, get_recheck;
/* settings */
desk_route get_settings, patch_settings, post_backup;
/* events */
desk_route get_events;

#endif
