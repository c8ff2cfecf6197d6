//! Machines and gear: what the program owns, and who paid.

use actix_web::web;

use super::{FIELD, Line, MENDERS, OFFICE, REPORTERS};
use crate::web::limits::Limit;
use crate::web::pages::{gear, machines};

pub(super) const LINES: &[Line] = &[
    Line::get("/machines", FIELD, || web::to(machines::index)),
    Line::post("/machines", OFFICE, || web::to(machines::create)),
    Line::get("/machines/new", OFFICE, || web::to(machines::new)),
    Line::get("/machines/import", OFFICE, || web::to(machines::import::index)),
    Line::post("/machines/import", OFFICE, || web::to(machines::import::create)).with_file(),
    Line::post("/machines/import/take", OFFICE, || web::to(machines::import::take)),
    Line::get("/machines/tags", OFFICE, || web::to(machines::tags::index)),
    Line::get("/machines/places", OFFICE, || web::to(machines::places)),
    Line::post("/machines/places", OFFICE, || web::to(machines::add_place)),
    Line::get("/machines/{machine}", FIELD, || web::to(machines::sheet::show)),
    Line::get("/machines/{machine}/edit", OFFICE, || web::to(machines::sheet::edit)),
    Line::post("/machines/{machine}/edit", OFFICE, || web::to(machines::sheet::update)),
    Line::post("/machines/{machine}/faults", FIELD, || web::to(machines::sheet::report)),
    Line::post("/machines/{machine}/faults/{number}/mend", MENDERS, || web::to(machines::sheet::mend)),
    Line::post("/machines/{machine}/hours", FIELD, || web::to(machines::sheet::read_meter)),
    Line::post("/machines/{machine}/place", FIELD, || web::to(machines::sheet::move_to)),
    Line::post("/machines/{machine}/retire", OFFICE, || web::to(machines::sheet::retire)),
    Line::post("/machines/{machine}/return", OFFICE, || web::to(machines::sheet::bring_back)),
    Line::get("/gear", OFFICE, || web::to(gear::index)),
    Line::get("/gear/needs", OFFICE, || web::to(gear::needs::show)),
    Line::get("/gear/property", REPORTERS, || web::to(gear::property::index)),
    Line::get("/gear/property.csv", REPORTERS, || web::to(gear::property::file)).counted(Limit::Export),
    Line::get("/gear/grants", OFFICE, || web::to(gear::grants::index)),
    Line::post("/gear/grants", OFFICE, || web::to(gear::grants::create)),
    Line::get("/gear/grants/new", OFFICE, || web::to(gear::grants::new)),
    Line::get("/gear/grants/{grant}", OFFICE, || web::to(gear::grants::show)),
    Line::get("/gear/grants/{grant}/edit", OFFICE, || web::to(gear::grants::edit)),
    Line::post("/gear/grants/{grant}/edit", OFFICE, || web::to(gear::grants::update)),
    Line::post("/gear/grants/{grant}/dues", OFFICE, || web::to(gear::grants::add_due)),
    Line::post("/gear/grants/{grant}/dues/{number}", OFFICE, || web::to(gear::grants::finish_due)),
    Line::post("/gear/grants/{grant}/matches", OFFICE, || web::to(gear::grants::add_match)),
    Line::post("/gear/grants/{grant}/matches/{number}/take-back", OFFICE, || web::to(gear::grants::take_back_match)),
    Line::get("/gear/recalls", OFFICE, || web::to(gear::recalls::index)),
    Line::post("/gear/recalls", OFFICE, || web::to(gear::recalls::create)),
    Line::get("/gear/recalls/{recall}", OFFICE, || web::to(gear::recalls::show)),
    Line::post("/gear/recalls/{recall}/answers/{number}", OFFICE, || web::to(gear::recalls::answer)),
    Line::post("/gear/recalls/{recall}/end", OFFICE, || web::to(gear::recalls::end)),
    Line::get("/gear/receive", OFFICE, || web::to(gear::receive)),
    Line::post("/gear/lots", OFFICE, || web::to(gear::add_lot)),
    Line::get("/gear/lots/{lot}", OFFICE, || web::to(gear::lot::show)),
    Line::post("/gear/lots/{lot}/move", OFFICE, || web::to(gear::lot::move_to)),
    Line::post("/gear/lots/{lot}/count", OFFICE, || web::to(gear::lot::count)),
    Line::post("/gear/lots/{lot}/retire", OFFICE, || web::to(gear::lot::retire)),
];
