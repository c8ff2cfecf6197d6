//! The one table of routes: verb, path, who may, how often, and the page function. Nothing is registered elsewhere.
//!
//! A line without a set of roles does not compile, and what is not in the table answers 404.

mod line;
mod matrix;

use actix_web::guard::{self, Guard};
use actix_web::http::Method;
use actix_web::middleware::from_fn;
use actix_web::web;

use crate::domain::access::{Role, RoleSet};

pub use line::{Line, Proof, Verb};
pub use matrix::access_matrix;

use super::door;
use super::limits::Limit;
use super::pages::{
    account, accounts, answers, certificate, closing, consents, courses, families, first_account, gear, health, help,
    home, invitations, machines, my_data, people, program, register, registration, reminders, report, retention, rider,
    roster, rules, season, session, sign_in, sites, static_file, voluntary, walk_up,
};

use Role::{Administrator, Coordinator, FirstAid, GrantManager, Guardian, Helper, Instructor, Public};

/// Everybody, signed in or not.
pub const PUBLIC: RoleSet = RoleSet::of(&[Public]);
/// Anybody with an account that has a role.
pub const SIGNED_IN: RoleSet =
    RoleSet::of(&[Guardian, Helper, Instructor, FirstAid, Coordinator, GrantManager, Administrator]);
/// Families.
pub const GUARDIANS: RoleSet = RoleSet::of(&[Guardian]);
/// Those who may stand on the field; which session is theirs is asked by the service.
pub const FIELD: RoleSet = RoleSet::of(&[Helper, Instructor, FirstAid, Coordinator, Administrator]);
/// Those who put a machine back into use.
pub const MENDERS: RoleSet = RoleSet::of(&[Instructor, Coordinator, Administrator]);
/// Those who plan.
pub const OFFICE: RoleSet = RoleSet::of(&[Coordinator, Administrator]);
/// Those who report.
pub const REPORTERS: RoleSet = RoleSet::of(&[Coordinator, GrantManager, Administrator]);
/// Those who run the program.
pub const ADMINISTRATORS: RoleSet = RoleSet::of(&[Administrator]);

/// The table. Order matters where patterns overlap: `/sessions/new` stands before `/sessions/{code}`.
pub const LINES: &[Line] = &[
    Line::get("/", PUBLIC, || web::to(home::show)),
    Line::get("/health/live", PUBLIC, || web::to(health::live)).counted(Limit::Free),
    Line::get("/health/ready", PUBLIC, || web::to(health::ready)).counted(Limit::Free),
    Line::get("/season", OFFICE, || web::to(season::list::index)),
    Line::get("/season.csv", OFFICE, || web::to(season::list::file)).counted(Limit::Export),
    Line::post("/season", OFFICE, || web::to(season::plan::create)),
    Line::get("/season/new", OFFICE, || web::to(season::plan::new)),
    Line::get("/season/{session}", OFFICE, || web::to(season::show)),
    Line::get("/patterns", OFFICE, || web::to(season::pattern::index)),
    Line::post("/patterns", OFFICE, || web::to(season::pattern::create)),
    Line::get("/patterns/new", OFFICE, || web::to(season::pattern::new)),
    Line::get("/patterns/{pattern}", OFFICE, || web::to(season::pattern::show)),
    Line::get("/patterns/{pattern}/edit", OFFICE, || web::to(season::pattern::edit)),
    Line::post("/patterns/{pattern}/edit", OFFICE, || web::to(season::pattern::update)),
    Line::post("/patterns/{pattern}/remove", OFFICE, || web::to(season::pattern::remove)),
    Line::get("/patterns/{pattern}/series", OFFICE, || web::to(season::series::show)),
    Line::post("/patterns/{pattern}/series", OFFICE, || web::to(season::series::create)),
    Line::post("/season/{session}/riders/{registration}/proof", OFFICE, || web::to(season::see_proof)),
    Line::get("/season/{session}/riders/{registration}", OFFICE, || web::to(season::rider::show)),
    Line::post("/season/{session}/riders/{registration}", OFFICE, || web::to(season::rider::act)),
    Line::get("/season/{session}/riders/{registration}/move", OFFICE, || web::to(season::rider::moving)),
    Line::post("/season/{session}/riders/{registration}/move", OFFICE, || web::to(season::rider::move_to)),
    Line::get("/season/{session}/riders/{registration}/people", OFFICE, || web::to(season::rider::told::people)),
    Line::post("/season/{session}/riders/{registration}/people", OFFICE, || web::to(season::rider::told::set_people)),
    Line::get("/season/{session}/riders/{registration}/health", OFFICE, || web::to(season::rider::told::health)),
    Line::post("/season/{session}/riders/{registration}/health", OFFICE, || web::to(season::rider::told::set_health)),
    Line::get("/courses", OFFICE, || web::to(courses::index)),
    Line::get("/courses/{code}", OFFICE, || web::to(courses::edit)),
    Line::post("/courses/{code}", OFFICE, || web::to(courses::update)),
    Line::get("/season/{session}/machines", OFFICE, || web::to(season::machines::edit)),
    Line::post("/season/{session}/machines", OFFICE, || web::to(season::machines::update)),
    Line::get("/season/{session}/edit", OFFICE, || web::to(season::plan::edit)),
    Line::post("/season/{session}/edit", OFFICE, || web::to(season::plan::update)),
    Line::get("/season/{session}/move", OFFICE, || web::to(season::change::moving)),
    Line::post("/season/{session}/move", OFFICE, || web::to(season::change::move_to)),
    Line::get("/season/{session}/cancel", OFFICE, || web::to(season::change::cancelling)),
    Line::post("/season/{session}/cancel", OFFICE, || web::to(season::change::cancel)),
    Line::get("/season/{session}/told", OFFICE, || web::to(season::change::told_list)),
    Line::post("/season/{session}/told/{number}", OFFICE, || web::to(season::change::called)),
    Line::get("/sites", OFFICE, || web::to(sites::index)),
    Line::post("/sites", OFFICE, || web::to(sites::create)),
    Line::get("/sites/new", OFFICE, || web::to(sites::new)),
    Line::get("/sites/{site}", OFFICE, || web::to(sites::sheet::show)),
    Line::get("/sites/{site}/edit", OFFICE, || web::to(sites::sheet::edit)),
    Line::post("/sites/{site}/edit", OFFICE, || web::to(sites::sheet::update)),
    Line::get("/sites/{site}/plan", OFFICE, || web::to(sites::sheet::edit_plan)),
    Line::post("/sites/{site}/plan", OFFICE, || web::to(sites::sheet::update_plan)),
    Line::post("/sites/{site}/papers", OFFICE, || web::to(sites::sheet::add_paper)),
    Line::post("/sites/{site}/papers/{place}/take-back", OFFICE, || web::to(sites::sheet::take_back_paper)),
    Line::get("/people", OFFICE, || web::to(people::index)),
    Line::get("/people/{account}", OFFICE, || web::to(people::show)),
    Line::post("/people/{account}/papers", OFFICE, || web::to(people::add_paper)),
    Line::get("/families", OFFICE, || web::to(families::index)),
    Line::post("/families", OFFICE, || web::to(families::search)),
    Line::get("/families/deletions", OFFICE, || web::to(families::deletions::index)),
    Line::post("/families/deletions/{wish}", OFFICE, || web::to(families::deletions::delete)),
    Line::get("/families/twice", OFFICE, || web::to(families::twice::index)),
    Line::get("/families/twice/{one}/{other}", OFFICE, || web::to(families::twice::edit)),
    Line::post("/families/twice/{one}/{other}", OFFICE, || web::to(families::twice::update)),
    Line::get("/families/import", OFFICE, || web::to(families::import::index)),
    Line::post("/families/import", OFFICE, || web::to(families::import::create)).with_file(),
    Line::get("/families/import/{import}", OFFICE, || web::to(families::import::show)),
    Line::post("/families/import/{import}", OFFICE, || web::to(families::import::update)),
    Line::get("/families/import/{import}/columns", OFFICE, || web::to(families::import::columns::edit)),
    Line::post("/families/import/{import}/columns", OFFICE, || web::to(families::import::columns::update)),
    Line::post("/families/import/{import}/leave", OFFICE, || web::to(families::import::leave)),
    Line::post("/families/import/{import}/undo", OFFICE, || web::to(families::import::undo)),
    Line::get("/families/{rider}", OFFICE, || web::to(families::show)),
    Line::get("/families/{rider}/edit", OFFICE, || web::to(families::edit::child)),
    Line::post("/families/{rider}/edit", OFFICE, || web::to(families::edit::set_child)),
    Line::get("/families/{rider}/adults/{number}/about", OFFICE, || web::to(families::edit::adult)),
    Line::post("/families/{rider}/adults/{number}/about", OFFICE, || web::to(families::edit::set_adult)),
    Line::post("/families/{rider}/part", OFFICE, || web::to(families::twice::part)),
    Line::get("/families/{rider}/adults/{number}", OFFICE, || web::to(families::edit)),
    Line::post("/families/{rider}/adults/{number}", OFFICE, || web::to(families::update)),
    Line::get("/accounts", ADMINISTRATORS, || web::to(accounts::index)),
    Line::post("/accounts", ADMINISTRATORS, || web::to(accounts::search)).counted(Limit::SignIn),
    Line::get("/accounts/{account}", ADMINISTRATORS, || web::to(accounts::show)),
    Line::post("/accounts/{account}", ADMINISTRATORS, || web::to(accounts::act)),
    Line::post("/accounts/{account}/link", ADMINISTRATORS, || web::to(accounts::send_link)),
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
    Line::post("/gear/grants", OFFICE, || web::to(gear::add_grant)),
    Line::post("/gear/lots", OFFICE, || web::to(gear::add_lot)),
    Line::get("/program", ADMINISTRATORS, || web::to(program::show)),
    Line::get("/program/questions", ADMINISTRATORS, || web::to(voluntary::index)),
    Line::post("/program/questions", ADMINISTRATORS, || web::to(voluntary::create)),
    Line::post("/program/questions/{question}", ADMINISTRATORS, || web::to(voluntary::update)),
    Line::get("/program/retention", ADMINISTRATORS, || web::to(retention::show)),
    Line::get("/program/settings/{key}", ADMINISTRATORS, || web::to(program::edit)),
    Line::post("/program/settings/{key}", ADMINISTRATORS, || web::to(program::update)),
    Line::get("/curriculum", ADMINISTRATORS, || web::to(rules::versions::index)),
    Line::get("/curriculum/versions/{version}", ADMINISTRATORS, || web::to(rules::versions::show)),
    Line::get("/curriculum/draft", ADMINISTRATORS, || web::to(rules::draft::show)),
    Line::post("/curriculum/draft", ADMINISTRATORS, || web::to(rules::versions::start)),
    Line::post("/curriculum/draft/undo", ADMINISTRATORS, || web::to(rules::draft::undo)),
    Line::get("/curriculum/draft/discard", ADMINISTRATORS, || web::to(rules::draft::leave)),
    Line::post("/curriculum/draft/discard", ADMINISTRATORS, || web::to(rules::draft::discard)),
    Line::get("/curriculum/draft/publish", ADMINISTRATORS, || web::to(rules::publish::new)),
    Line::post("/curriculum/draft/publish", ADMINISTRATORS, || web::to(rules::publish::create)),
    Line::get("/curriculum/draft/settings/{key}", ADMINISTRATORS, || web::to(rules::setting::edit)),
    Line::post("/curriculum/draft/settings/{key}", ADMINISTRATORS, || web::to(rules::setting::update)),
    Line::get("/curriculum/versions/{version}/lessons/{number}", ADMINISTRATORS, || web::to(rules::preview::published)),
    Line::post("/curriculum/draft/arrange", ADMINISTRATORS, || web::to(rules::arrange::update)),
    Line::get("/curriculum/draft/lessons/{number}", ADMINISTRATORS, || web::to(rules::lesson::edit)),
    Line::post("/curriculum/draft/lessons/{number}", ADMINISTRATORS, || web::to(rules::lesson::update)),
    Line::get("/curriculum/draft/lessons/{number}/preview", ADMINISTRATORS, || web::to(rules::preview::show)),
    Line::get("/curriculum/draft/checks/{code}", ADMINISTRATORS, || web::to(rules::check::edit)),
    Line::post("/curriculum/draft/checks/{code}", ADMINISTRATORS, || web::to(rules::check::update)),
    Line::get("/rules/{book}", ADMINISTRATORS, || web::to(rules::versions::index)),
    Line::get("/rules/{book}/versions/{version}", ADMINISTRATORS, || web::to(rules::versions::show)),
    Line::get("/rules/{book}/draft", ADMINISTRATORS, || web::to(rules::draft::show)),
    Line::post("/rules/{book}/draft", ADMINISTRATORS, || web::to(rules::versions::start)),
    Line::post("/rules/{book}/draft/undo", ADMINISTRATORS, || web::to(rules::draft::undo)),
    Line::get("/rules/{book}/draft/discard", ADMINISTRATORS, || web::to(rules::draft::leave)),
    Line::post("/rules/{book}/draft/discard", ADMINISTRATORS, || web::to(rules::draft::discard)),
    Line::get("/rules/{book}/draft/publish", ADMINISTRATORS, || web::to(rules::publish::new)),
    Line::post("/rules/{book}/draft/publish", ADMINISTRATORS, || web::to(rules::publish::create)),
    Line::post("/rules/{book}/draft/points", ADMINISTRATORS, || web::to(rules::points::update)),
    Line::get("/rules/{book}/draft/settings/{key}", ADMINISTRATORS, || web::to(rules::setting::edit)),
    Line::post("/rules/{book}/draft/settings/{key}", ADMINISTRATORS, || web::to(rules::setting::update)),
    Line::get("/consents", ADMINISTRATORS, || web::to(consents::index)),
    Line::get("/consents/{kind}/versions/{version}/{language}", ADMINISTRATORS, || web::to(consents::show)),
    Line::post("/consents/{kind}/versions/{version}/{language}", ADMINISTRATORS, || web::to(consents::approve)),
    Line::get("/consents/{kind}/draft", ADMINISTRATORS, || web::to(consents::next)),
    Line::post("/consents/{kind}/draft", ADMINISTRATORS, || web::to(consents::start)),
    Line::post("/consents/{kind}/draft/clauses", ADMINISTRATORS, || web::to(consents::arrange)),
    Line::post("/consents/{kind}/draft/publish", ADMINISTRATORS, || web::to(consents::publish)),
    Line::post("/consents/{kind}/draft/undo", ADMINISTRATORS, || web::to(rules::draft::undo)),
    Line::get("/consents/{kind}/draft/discard", ADMINISTRATORS, || web::to(rules::draft::leave)),
    Line::post("/consents/{kind}/draft/discard", ADMINISTRATORS, || web::to(rules::draft::discard)),
    Line::get("/consents/{kind}/draft/settings/{key}", ADMINISTRATORS, || web::to(rules::setting::edit)),
    Line::post("/consents/{kind}/draft/settings/{key}", ADMINISTRATORS, || web::to(rules::setting::update)),
    Line::get("/static/{print}/{name:.*}", PUBLIC, || web::to(static_file::show)).counted(Limit::Free),
    Line::get("/help", PUBLIC, || web::to(help::index)),
    Line::get("/help/family", PUBLIC, || web::to(help::family)),
    Line::get("/help/briefing", PUBLIC, || web::to(help::briefing)),
    Line::get("/help/agreement", PUBLIC, || web::to(help::agreement)),
    Line::get("/help/field", PUBLIC, || web::to(help::field)),
    Line::get("/help/office", PUBLIC, || web::to(help::office)),
    Line::get("/sessions", PUBLIC, || web::to(session::index)),
    Line::get("/sessions/calendar.ics", PUBLIC, || web::to(session::feed::calendar)),
    Line::get("/sessions/sessions.json", PUBLIC, || web::to(session::feed::json)),
    Line::get("/sessions/{reference}", PUBLIC, || web::to(session::show)),
    Line::get("/sessions/{reference}/register", PUBLIC, || web::to(register::rider::start)),
    Line::get("/sessions/{reference}/register/rider", PUBLIC, || web::to(register::rider::edit)),
    Line::post("/sessions/{reference}/register/rider", PUBLIC, || web::to(register::rider::update)),
    Line::get("/sessions/{reference}/register/health", PUBLIC, || web::to(register::health::edit)),
    Line::post("/sessions/{reference}/register/health", PUBLIC, || web::to(register::health::update)),
    Line::get("/sessions/{reference}/register/adults", PUBLIC, || web::to(register::adults::edit)),
    Line::post("/sessions/{reference}/register/adults", PUBLIC, || web::to(register::adults::update))
        .counted(Limit::Register),
    Line::get("/sessions/{reference}/register/sizes", PUBLIC, || web::to(register::sizes::edit)),
    Line::post("/sessions/{reference}/register/sizes", PUBLIC, || web::to(register::sizes::update)),
    Line::get("/sessions/{reference}/register/questions", PUBLIC, || web::to(register::questions::edit)),
    Line::post("/sessions/{reference}/register/questions", PUBLIC, || web::to(register::questions::update)),
    Line::get("/sessions/{reference}/register/check", PUBLIC, || web::to(register::check::edit)),
    Line::post("/sessions/{reference}/register/check", PUBLIC, || web::to(register::check::create))
        .counted(Limit::Register),
    Line::get("/riders", GUARDIANS, || web::to(rider::index)),
    Line::get("/registrations", GUARDIANS, || web::to(registration::index)),
    Line::get("/registrations/{reference}", GUARDIANS, || web::to(registration::show)),
    Line::get("/registrations/{reference}/consent", GUARDIANS, || web::to(registration::consent)),
    Line::get("/registrations/{reference}/people", GUARDIANS, || web::to(registration::told::people)),
    Line::post("/registrations/{reference}/people", GUARDIANS, || web::to(registration::told::set_people)),
    Line::get("/registrations/{reference}/health", GUARDIANS, || web::to(registration::told::health)),
    Line::post("/registrations/{reference}/health", GUARDIANS, || web::to(registration::told::set_health)),
    Line::get("/registrations/{reference}/sign", GUARDIANS, || web::to(registration::sign::edit)),
    Line::post("/registrations/{reference}/sign", GUARDIANS, || web::to(registration::sign::create)),
    Line::get("/registrations/{reference}/withdraw", GUARDIANS, || web::to(registration::sign::leaving)),
    Line::post("/registrations/{reference}/withdraw", GUARDIANS, || web::to(registration::sign::withdraw)),
    Line::get("/registrations/{reference}/calendar.ics", GUARDIANS, || web::to(registration::calendar))
        .counted(Limit::Export),
    Line::get("/registrations/{reference}/give-up", GUARDIANS, || web::to(registration::place::giving_up)),
    Line::post("/registrations/{reference}/give-up", GUARDIANS, || web::to(registration::place::give_up)),
    Line::post("/registrations/{reference}/offer", GUARDIANS, || web::to(registration::place::answer_offer)),
    Line::post("/registrations/{reference}/letter", GUARDIANS, || web::to(registration::place::ask_again))
        .counted(Limit::SignIn),
    Line::post("/registrations/{reference}/coming", GUARDIANS, || web::to(registration::place::answer_coming)),
    Line::post("/registrations/{reference}/line", GUARDIANS, || web::to(registration::place::wish_in_line)),
    Line::get("/registrations/{reference}/move", GUARDIANS, || web::to(registration::place::moving)),
    Line::post("/registrations/{reference}/move", GUARDIANS, || web::to(registration::place::move_to)),
    Line::get("/riders/{rider}", GUARDIANS, || web::to(rider::show)),
    Line::get("/riders/{rider}/edit", GUARDIANS, || web::to(rider::edit::edit)),
    Line::post("/riders/{rider}/edit", GUARDIANS, || web::to(rider::edit::update)),
    Line::get("/riders/{rider}/adults", GUARDIANS, || web::to(rider::adults::new)),
    Line::post("/riders/{rider}/adults", GUARDIANS, || web::to(rider::adults::create)).counted(Limit::SignIn),
    Line::post("/riders/{rider}/adults/{invitation}/take-back", GUARDIANS, || web::to(rider::adults::take_back)),
    Line::post("/riders/{rider}/health/forget", GUARDIANS, || web::to(rider::forget_health)),
    Line::get("/riders/{rider}/leave", GUARDIANS, || web::to(rider::adults::leaving)),
    Line::post("/riders/{rider}/leave", GUARDIANS, || web::to(rider::adults::leave)),
    Line::get("/invitations/done", PUBLIC, || web::to(invitations::done)),
    Line::get("/invitations/{token}", PUBLIC, || web::to(invitations::show)),
    Line::post("/invitations/{token}", PUBLIC, || web::to(invitations::update)).counted(Limit::SignIn),
    Line::get("/reminders/{token}", PUBLIC, || web::to(reminders::show)),
    // Mail providers press for many people from few addresses, so that this is counted as pages are.
    Line::post("/reminders/{token}", PUBLIC, || web::to(reminders::update)).by_own_secret(),
    Line::get("/answers/done/{what}", PUBLIC, || web::to(answers::done)),
    Line::get("/answers/{token}", PUBLIC, || web::to(answers::show)),
    Line::post("/answers/{token}", PUBLIC, || web::to(answers::update)).counted(Limit::SignIn),
    Line::get("/sign-in", PUBLIC, || web::to(sign_in::new)),
    Line::post("/sign-in", PUBLIC, || web::to(sign_in::create)).counted(Limit::SignIn),
    Line::post("/sign-in/demo", PUBLIC, || web::to(sign_in::create_demo)).counted(Limit::SignIn),
    Line::get("/sign-in/code", PUBLIC, || web::to(sign_in::second_step::code)),
    Line::post("/sign-in/code", PUBLIC, || web::to(sign_in::second_step::confirm)).counted(Limit::SignIn),
    Line::get("/sign-in/second-step", PUBLIC, || web::to(sign_in::second_step::new)),
    Line::post("/sign-in/second-step", PUBLIC, || web::to(sign_in::second_step::create)).counted(Limit::SignIn),
    Line::get("/sign-in/link", PUBLIC, || web::to(sign_in::link::new)),
    Line::post("/sign-in/link", PUBLIC, || web::to(sign_in::link::create)).counted(Limit::SignIn),
    Line::get("/sign-in/link/sent", PUBLIC, || web::to(sign_in::link::sent)),
    Line::get("/links/done", PUBLIC, || web::to(sign_in::link::done)),
    Line::get("/links/{token}", PUBLIC, || web::to(sign_in::link::show)),
    Line::post("/links/{token}", PUBLIC, || web::to(sign_in::link::update)).counted(Limit::SignIn),
    Line::get("/first-account/{token}", PUBLIC, || web::to(first_account::new)).counted(Limit::SignIn),
    Line::post("/first-account/{token}", PUBLIC, || web::to(first_account::create)).counted(Limit::SignIn),
    Line::post("/sign-out", SIGNED_IN, || web::to(sign_in::close)),
    Line::get("/sign-ins", SIGNED_IN, || web::to(sign_in::index)),
    Line::post("/sign-ins/{number}/end", SIGNED_IN, || web::to(sign_in::end)),
    Line::post("/account/sign-out-elsewhere", SIGNED_IN, || web::to(sign_in::end_others)),
    Line::get("/account", SIGNED_IN, || web::to(account::show)),
    Line::get("/account/about", GUARDIANS, || web::to(account::about::edit)),
    Line::post("/account/about", GUARDIANS, || web::to(account::about::update)),
    Line::get("/account/data", SIGNED_IN, || web::to(my_data::show)),
    Line::get("/account/data.json", SIGNED_IN, || web::to(my_data::file)).counted(Limit::Export),
    Line::post("/account/data/delete", SIGNED_IN, || web::to(my_data::ask_deletion)),
    Line::get("/account/password", SIGNED_IN, || web::to(account::edit_password)),
    Line::post("/account/password", SIGNED_IN, || web::to(account::update_password)).counted(Limit::SignIn),
    Line::get("/account/address", SIGNED_IN, || web::to(account::edit_address)),
    Line::post("/account/address", SIGNED_IN, || web::to(account::update_address)).counted(Limit::SignIn),
    Line::get("/account/address/sent", SIGNED_IN, || web::to(account::address_sent)),
    Line::post("/account/reminders", SIGNED_IN, || web::to(account::update_reminders)),
    Line::post("/account/texts", SIGNED_IN, || web::to(account::update_texts)),
    Line::get("/account/by-link", SIGNED_IN, || web::to(account::by_link)),
    Line::get("/account/second-step", SIGNED_IN, || web::to(sign_in::second_step::new)),
    Line::post("/account/second-step", SIGNED_IN, || web::to(sign_in::second_step::create)).counted(Limit::SignIn),
    Line::get("/account/second-step/remove", SIGNED_IN, || web::to(account::leave_second_step)),
    Line::post("/account/second-step/remove", SIGNED_IN, || web::to(account::remove_second_step))
        .counted(Limit::SignIn),
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
    Line::get("/my-sessions", FIELD, || web::to(roster::index)).on_the_field(),
    Line::get("/roster/{reference}", FIELD, || web::to(roster::show)).on_the_field(),
    Line::post("/roster/{reference}/acts", FIELD, || web::to(roster::create)).on_the_field(),
    Line::get("/roster/{reference}/area", FIELD, || web::to(roster::area)).on_the_field(),
    Line::get("/roster/{reference}/day-list", FIELD, || web::to(roster::day_list)).on_the_field(),
    Line::get("/roster/{reference}/assignment", FIELD, || web::to(roster::assignment)).on_the_field(),
    Line::get("/roster/{reference}/machines", FIELD, || web::to(roster::look_overs)).on_the_field(),
    Line::get("/roster/{reference}/machines/{machine}", FIELD, || web::to(roster::look_over)).on_the_field(),
    Line::get("/roster/{reference}/emergency", FIELD, || web::to(roster::emergency)).on_the_field(),
    Line::get("/roster/{reference}/groups", FIELD, || web::to(roster::groups)).on_the_field(),
    Line::get("/roster/{reference}/counts", FIELD, || web::to(roster::counts)).on_the_field(),
    Line::get("/roster/{reference}/lessons/{number}", FIELD, || web::to(roster::lesson)).on_the_field(),
    Line::get("/roster/{reference}/riders/{rider}", FIELD, || web::to(roster::rider)).on_the_field(),
    Line::get("/roster/{reference}/riders/{rider}/fit", FIELD, || web::to(roster::machines)).on_the_field(),
    Line::get("/roster/{reference}/riders/{rider}/fit/{machine}", FIELD, || web::to(roster::fit)).on_the_field(),
    Line::get("/roster/{reference}/riders/{rider}/health", FIELD, || web::to(roster::health)).on_the_field(),
    Line::get("/roster/{reference}/riders/{rider}/history", FIELD, || web::to(roster::history)).on_the_field(),
    Line::get("/roster/{reference}/roll-call", FIELD, || web::to(roster::roll_call)).on_the_field(),
    Line::get("/roster/{reference}/grid", FIELD, || web::to(roster::grid)).on_the_field(),
    Line::get("/roster/{reference}/print", FIELD, || web::to(roster::paper)).counted(Limit::Export).on_the_field(),
];

/// Registers every line of the table behind its door, and nothing else.
pub fn mount(config: &mut web::ServiceConfig) {
    let mut done: Vec<&str> = Vec::new();
    for line in LINES {
        if done.contains(&line.path) {
            continue;
        }
        done.push(line.path);
        let mut resource = web::resource(line.path);
        for same in LINES.iter().filter(|other| other.path == line.path) {
            let route = (same.to)().guard(asks_for(same.verb));
            resource = resource.route(route.wrap(from_fn(move |request, next| door::pass(same, request, next))));
        }
        let allowed = allowed(line.path);
        let wrong = web::to(move || async move { door::wrong_verb(allowed) });
        config.service(resource.default_service(wrong.wrap(from_fn(door::draw_failures))));
    }
    config.default_service(web::to(door::no_such_page).wrap(from_fn(door::draw_failures)));
}

fn asks_for(verb: Verb) -> impl Guard {
    guard::fn_guard(move |context| match verb {
        Verb::Get => matches!(context.head().method, Method::GET | Method::HEAD),
        Verb::Post => context.head().method == Method::POST,
    })
}

/// The verbs of a path, as the `Allow` header writes them.
fn allowed(path: &str) -> &'static str {
    let has = |verb| LINES.iter().any(|line| line.path == path && line.verb == verb);
    match (has(Verb::Get), has(Verb::Post)) {
        (true, true) => "GET, HEAD, POST",
        (true, false) => "GET, HEAD",
        _ => "POST",
    }
}

/// Whether the page at this path opens to somebody with these roles.
#[must_use]
pub fn opens(path: &str, roles: RoleSet) -> bool {
    LINES.iter().any(|line| line.path == path && line.verb == Verb::Get && line.who.meets(roles))
}
