//! Certificates, closing, reports and the day on the field.

use actix_web::web;

use super::{FIELD, Line, OFFICE, PUBLIC, REPORTERS, SIGNED_IN};
use crate::web::limits::Limit;
use crate::web::pages::{certificate, closing, incident, my_work, report, retention, roster, teaching, walk_up};

pub(super) const LINES: &[Line] = &[
    Line::get("/certificates", PUBLIC, || web::to(certificate::new)),
    Line::post("/certificates", PUBLIC, || web::to(certificate::create)).counted(Limit::CertificateCheck),
    Line::get("/c/{code}", PUBLIC, || web::to(certificate::show)).counted(Limit::CertificateCheck),
    Line::get("/certificates/{code}/paper.pdf", SIGNED_IN, || web::to(certificate::paper)).counted(Limit::Export),
    Line::post("/certificates/{code}/revoke", OFFICE, || web::to(certificate::revoke)),
    Line::get("/roster/{reference}/close", FIELD, || web::to(closing::show)).on_the_field(),
    Line::post("/roster/{reference}/close", FIELD, || web::to(closing::create)).on_the_field(),
    Line::get("/season/{reference}/hold", OFFICE, || web::to(retention::hold)),
    Line::post("/season/{reference}/hold", OFFICE, || web::to(retention::set_hold)),
    Line::post("/season/{reference}/reopen", OFFICE, || web::to(closing::reopen)),
    Line::get("/reports", REPORTERS, || web::to(report::index)),
    Line::get("/reports/rows", REPORTERS, || web::to(report::rows::index)),
    Line::get("/reports/rows.csv", REPORTERS, || web::to(report::file::rows)).counted(Limit::Export),
    Line::get("/reports/counties.csv", REPORTERS, || web::to(report::file::counties)).counted(Limit::Export),
    Line::get("/walk-up/{session}", FIELD, || web::to(walk_up::new)),
    Line::post("/walk-up/{session}", FIELD, || web::to(walk_up::create)),
    Line::get("/walk-up/{session}/{registration}", FIELD, || web::to(walk_up::show)),
    Line::get("/walk-up/{session}/{registration}/sign/{language}", FIELD, || web::to(walk_up::sign::edit))
        .on_the_field(),
    Line::post("/walk-up/{session}/{registration}/sign/{language}", FIELD, || web::to(walk_up::sign::create))
        .on_the_field(),
    Line::get("/my-work", FIELD, || web::to(my_work::show)),
    Line::post("/my-work/away", FIELD, || web::to(my_work::go_away)),
    Line::post("/my-work/away/{row}/take-back", FIELD, || web::to(my_work::come_back)),
    Line::get("/teaching", FIELD, || web::to(teaching::today)),
    Line::get("/teaching/{version}", FIELD, || web::to(teaching::index)),
    Line::get("/teaching/{version}/cards", FIELD, || web::to(teaching::cards)),
    Line::get("/teaching/{version}/{lesson}", FIELD, || web::to(teaching::lesson)),
    Line::get("/my-sessions", FIELD, || web::to(roster::index)).on_the_field(),
    Line::get("/roster/{reference}", FIELD, || web::to(roster::show)).on_the_field(),
    Line::post("/roster/{reference}/acts", FIELD, || web::to(roster::create)).on_the_field(),
    Line::get("/roster/{reference}/area", FIELD, || web::to(roster::area)).on_the_field(),
    Line::get("/roster/{reference}/day-list", FIELD, || web::to(roster::day_list)).on_the_field(),
    Line::get("/roster/{reference}/assignment", FIELD, || web::to(roster::assignment)).on_the_field(),
    Line::get("/roster/{reference}/machines", FIELD, || web::to(roster::look_overs)).on_the_field(),
    Line::get("/roster/{reference}/machines/{machine}", FIELD, || web::to(roster::look_over)).on_the_field(),
    Line::get("/roster/{reference}/weather", FIELD, || web::to(roster::weather)).on_the_field(),
    Line::get("/roster/{reference}/incidents", FIELD, || web::to(roster::incidents)).on_the_field(),
    Line::get("/incidents", OFFICE, || web::to(incident::index)),
    Line::get("/incidents/{incident}", FIELD, || web::to(incident::show)),
    Line::get("/incidents/{incident}/edit", FIELD, || web::to(incident::edit::edit)),
    Line::post("/incidents/{incident}/edit", FIELD, || web::to(incident::edit::update)),
    Line::post("/incidents/{incident}/sign", FIELD, || web::to(incident::sign)),
    Line::get("/incidents/{incident}/close", FIELD, || web::to(incident::closing)),
    Line::post("/incidents/{incident}/close", FIELD, || web::to(incident::close)),
    Line::post("/incidents/{incident}/insurer", OFFICE, || web::to(incident::tell_insurer)),
    Line::post("/incidents/{incident}/addenda", FIELD, || web::to(incident::add)),
    Line::post("/incidents/{incident}/photos", FIELD, || web::to(incident::add_photo)).with_file(),
    Line::get("/incidents/{incident}/photos/{number}", FIELD, || web::to(incident::photo)),
    Line::get("/roster/{reference}/emergency", FIELD, || web::to(roster::emergency)).on_the_field(),
    Line::get("/roster/{reference}/groups", FIELD, || web::to(roster::groups)).on_the_field(),
    Line::get("/roster/{reference}/counts", FIELD, || web::to(roster::counts)).on_the_field(),
    Line::get("/roster/{reference}/lessons/{number}", FIELD, || web::to(roster::lesson)).on_the_field(),
    Line::get("/roster/{reference}/riders/{rider}", FIELD, || web::to(roster::rider)).on_the_field(),
    Line::get("/roster/{reference}/riders/{rider}/fit", FIELD, || web::to(roster::machines)).on_the_field(),
    Line::get("/roster/{reference}/riders/{rider}/fit/{machine}", FIELD, || web::to(roster::fit)).on_the_field(),
    Line::get("/roster/{reference}/riders/{rider}/helmet", FIELD, || web::to(roster::helmet)).on_the_field(),
    Line::get("/roster/{reference}/riders/{rider}/receipt/{language}", FIELD, || web::to(roster::receipt))
        .on_the_field(),
    Line::post("/roster/{reference}/riders/{rider}/receipt/{language}", FIELD, || web::to(roster::create_receipt))
        .on_the_field(),
    Line::get("/roster/{reference}/riders/{rider}/health", FIELD, || web::to(roster::health)).on_the_field(),
    Line::get("/roster/{reference}/riders/{rider}/history", FIELD, || web::to(roster::history)).on_the_field(),
    Line::get("/roster/{reference}/roll-call", FIELD, || web::to(roster::roll_call)).on_the_field(),
    Line::get("/roster/{reference}/grid", FIELD, || web::to(roster::grid)).on_the_field(),
    Line::get("/roster/{reference}/print", FIELD, || web::to(roster::paper)).counted(Limit::Export).on_the_field(),
    Line::get("/roster/{reference}/packet.pdf", FIELD, || web::to(roster::packet))
        .counted(Limit::Export)
        .on_the_field(),
];
