//! All that is kept about a person, table by table, as plain values. What is held and what is left out together name every
//! column of the schema; a test compares them.

use chrono::{NaiveDate, NaiveDateTime};
use diesel::prelude::*;
use diesel::sql_types::{BigInt, Bool, Date, Nullable, Text, Timestamp};
use serde_json::{Map, Value, json};

use super::connection::AnyConn;
use super::error::StoreError;
use super::schema;
use crate::domain::ids::{AccountId, GuardianId, RegistrationId, RiderId, SessionId, StaffId};

/// Whose data, by the rows that are theirs.
#[derive(Clone, Debug, Default)]
pub struct Whose {
    /// The account.
    pub accounts: Vec<AccountId>,
    /// Its family's side.
    pub guardians: Vec<GuardianId>,
    /// Its place in the staff.
    pub staff: Vec<StaffId>,
    /// The children for whom the adult may decide now.
    pub riders: Vec<RiderId>,
    /// Their registrations.
    pub registrations: Vec<RegistrationId>,
    /// The sessions of these.
    pub sessions: Vec<SessionId>,
}

/// A column's type as a plain value.
trait Plain {
    type Value;
}

macro_rules! plain {
    ($($sql:ty => $value:ty),+ $(,)?) => {$(impl Plain for $sql { type Value = $value; })+};
}
plain!(
    BigInt => i64,
    Bool => bool,
    Date => NaiveDate,
    Text => String,
    Timestamp => NaiveDateTime,
    Nullable<BigInt> => Option<i64>,
    Nullable<Text> => Option<String>,
    Nullable<Date> => Option<NaiveDate>,
    Nullable<Timestamp> => Option<NaiveDateTime>,
);

/// The plain value of a column.
type Cell<C> = <<C as Expression>::SqlType as Plain>::Value;

macro_rules! held {
    ($($table:ident by $key:ident of $whose:ident: $($column:ident),+;)+) => {
        /// The tables that are told, each with its columns.
        pub const HELD: &[(&str, &[&str])] = &[$((stringify!($table), &[$(stringify!($column)),+])),+];

        /// The rows of a person by table, each row an object of its columns. Times are in UTC, lengths in micrometres, mass
        /// in grams.
        pub fn held(conn: &mut AnyConn, of: &Whose) -> Result<Map<String, Value>, StoreError> {
            let mut all = Map::new();
            $({
                let rows: Vec<($(Cell<schema::$table::$column>,)+)> = schema::$table::table
                    .filter(schema::$table::$key.eq_any(&of.$whose))
                    .order(schema::$table::$key)
                    .select(($(schema::$table::$column,)+))
                    .load(conn)?;
                let told = rows.into_iter().map(|($($column,)+)| json!({ $(stringify!($column): $column),+ }));
                all.insert(stringify!($table).to_owned(), told.collect());
            })+
            Ok(all)
        }
    };
}

held! {
    accounts by id of accounts: reference, email, sign_in_name, email_confirmed_at, given_name, family_name, language,
        disabled_at, created_at, reminders_off_at;
    account_roles by account_id of accounts: role;
    sign_ins by account_id of accounts: device, created_at, last_seen, ends_at, ended_at, way, awaits_code, second_step;
    authenticators by account_id of accounts: created_at;
    links by account_id of accounts: purpose, address, earlier_address, asked_at, used_at, voided_at;
    deletions by account_id of accounts: asked_at, ended_at;
    outbox by account_id of accounts: message_id, kind, language, state, created_at, sent_at;
    guardians by id of guardians: given_name, family_name, phone, email, language, created_at, texts_agreed_at;
    texts by guardian_id of guardians: kind, phone, session_id, held_on, registration_id, language, state, created_at,
        ended_at;
    guardianships by guardian_id of guardians: rider_id, state, since;
    invitations by guardian_id of guardians: name, address, language, asked_at, ended_at;
    tellings by guardian_id of guardians: called_at;
    consents by guardian_id of guardians: registration_id, text_id, signed_name, ticks, shown_hash, signed_at, zone,
        withdrawn_at;
    staff by id of staff: phone, provisional, created_at;
    certifications by staff_id of staff: kind, issued_on, valid_through, suspended_on, revoked_on;
    paper_reminders by staff_id of staff: kind, valid_through, days, at;
    staff_absences by staff_id of staff: from_on, through_on, at;
    session_staff by staff_id of staff: session_id, duty;
    riders by id of riders: id, reference, given_name, family_name, birth_date, county_set, county, created_at,
        paper_name;
    measures by rider_id of riders: rider_id, registration_id, measured_by, taken_on, height_um, weight_g, inseam_um,
        reach_um, hand_um, foot_um, head_um;
    registrations by id of registrations: id, reference, session_id, rider_id, state, place, held_until, outcome, language,
        ridden, created_at, comes_at, standby, together;
    place_changes by registration_id of registrations: registration_id, state, reason, at;
    questions by registration_id of registrations: registration_id, kind, asked_at, answered_at;
    reminders by registration_id of registrations: registration_id, kind, held_on, at;
    contacts by registration_id of registrations: registration_id, ordinal, kind, name, phone;
    proofs by registration_id of registrations: registration_id, answer, seen_at;
    voluntary_answers by registration_id of registrations: registration_id, question_id, choice;
    acts by registration_id of registrations: registration_id, meeting, kind, body, at, received_at, standing;
    gear_issues by registration_id of registrations: registration_id, way, issued_at, returned_at, came_back;
    certificates by registration_id of registrations: registration_id, code, rider_name, completed_on, valid_from,
        lead_name, language, issued_at, revoked_at, revoked_why;
    sessions by id of sessions: id, reference, language, state, held_on, last_on;
}

/// What is not told, by table or `table.column`, and why.
pub const LEFT_OUT: &[(&str, &str)] = &[
    ("health_notes", "told as answers, opened by the service"),
    ("kept_health", "told as answers, opened by the service"),
    ("deletions.id", ROW),
    ("deletions.reference", ROW),
    ("deletions.account_id", OWN),
    ("accounts.id", ROW),
    ("account_roles.account_id", OWN),
    ("sign_ins.id", ROW),
    ("sign_ins.account_id", OWN),
    ("authenticators.account_id", OWN),
    ("links.id", ROW),
    ("links.account_id", OWN),
    ("outbox.id", ROW),
    ("outbox.account_id", OWN),
    ("guardians.id", ROW),
    ("guardians.account_id", OWN),
    ("guardianships.guardian_id", OWN),
    ("invitations.id", ROW),
    ("invitations.reference", ROW),
    ("invitations.guardian_id", OWN),
    ("tellings.id", ROW),
    ("tellings.guardian_id", OWN),
    ("tellings.change_id", ROW),
    ("tellings.staff_id", ROW),
    ("tellings.outbox_id", ROW),
    ("consents.id", ROW),
    ("consents.guardian_id", OWN),
    ("staff.id", ROW),
    ("staff.account_id", OWN),
    ("certifications.id", ROW),
    ("certifications.staff_id", OWN),
    ("staff_absences.id", ROW),
    ("staff_absences.staff_id", OWN),
    ("paper_reminders.id", ROW),
    ("paper_reminders.staff_id", OWN),
    ("session_staff.staff_id", OWN),
    ("measures.id", ROW),
    ("place_changes.id", ROW),
    ("questions.id", ROW),
    ("reminders.id", ROW),
    ("contacts.id", ROW),
    ("acts.id", ROW),
    ("acts.act_id", ROW),
    ("acts.session_id", ROW),
    ("acts.seq", ROW),
    ("acts.counter", ROW),
    ("acts.seen", ROW),
    ("gear_issues.id", ROW),
    ("gear_issues.lot_id", ROW),
    ("gear_issues.act_id", ROW),
    ("gear_issues.place_id", ROW),
    ("certificates.id", ROW),
    ("certificates.file_id", "the paper itself is on the registration's page"),
    ("accounts.password_hash", SECRET),
    ("sign_ins.token_hash", SECRET),
    ("authenticators.row_key", SECRET),
    ("authenticators.secret", SECRET),
    ("authenticators.last_step", SECRET),
    ("recovery_codes", SECRET),
    ("link_tokens", SECRET),
    ("question_tokens", SECRET),
    ("invitation_tokens", SECRET),
    ("wrong_tries", SECRET),
    ("request_keys", "first answers to forms, hashed, two days"),
    ("drafts", "belongs to a browser, sealed, seven days; the form shows it"),
    ("riders.report_key", "the pseudonym of reports, which is told to nobody"),
    ("guardianships.note", "the office's own words about a court's paper"),
    ("registrations.guardian_id", "another adult may have registered the child"),
    ("proofs.seen_by", OTHERS),
    ("acts.device", OTHERS),
    ("acts.account_id", OTHERS),
    ("acts.by_lead", OTHERS),
    ("outbox.subject_id", ROW),
    ("outbox.tries", ROW),
    ("outbox.due_at", ROW),
    ("outbox.leased_until", ROW),
    ("outbox.leased_by", ROW),
    ("outbox.fault", ROW),
    ("texts.id", ROW),
    ("texts.guardian_id", OWN),
    ("texts.telling_id", ROW),
    ("texts.tries", ROW),
    ("texts.due_at", ROW),
    ("texts.leased_until", ROW),
    ("texts.leased_by", ROW),
    ("texts.handed_at", ROW),
    ("texts.fault", ROW),
    ("invitations.joined_id", OTHERS),
    ("invited_riders", ROW),
    ("moved_places", ROW),
    ("second_step_losses", "between two administrators, until it is settled"),
    ("imports", "a file of the office, sealed, a day; then only how many it added"),
    ("imported_riders", "by which file a child came, thirty days"),
    ("imported_guardians", "by which file an adult came, thirty days"),
    ("import_headings", PROGRAM),
    ("merges", "the office's own note, until it is undone"),
    ("merged_registrations", "goes with the merge that it belongs to"),
    ("merged_measures", "goes with the merge that it belongs to"),
    ("merged_ties", "goes with the merge that it belongs to"),
    ("children_apart", "the office's own note"),
    ("children_alike", "found in what is told here, by the program"),
    ("guardians.words", "the name again, as it is looked for"),
    ("riders.words", "the name again, as it is looked for"),
    ("riders.compared_at", PROGRAM),
    ("legal_holds", "about a session"),
    ("audit_rows", "the program's log, which nobody may take from"),
    ("rider_facts", "counts by pseudonym, from what is told here"),
    ("files", "papers, on the registration's page"),
    ("sessions.course_id", PROGRAM),
    ("sessions.site_id", PROGRAM),
    ("sessions.capacity", PROGRAM),
    ("sessions.binding_limit", PROGRAM),
    ("sessions.seats_taken", PROGRAM),
    ("sessions.waiting", PROGRAM),
    ("sessions.last_place", PROGRAM),
    ("sessions.last_counter", PROGRAM),
    ("sessions.curriculum_id", PROGRAM),
    ("sessions.fit_id", PROGRAM),
    ("sessions.cautions_id", PROGRAM),
    ("sessions.created_at", PROGRAM),
    ("sessions.closed_at", PROGRAM),
    ("sessions.revision", PROGRAM),
    ("schema_level", PROGRAM),
    ("roles", PROGRAM),
    ("certification_kinds", PROGRAM),
    ("session_states", PROGRAM),
    ("registration_states", PROGRAM),
    ("outcomes", PROGRAM),
    ("act_kinds", PROGRAM),
    ("machine_states", PROGRAM),
    ("programs", PROGRAM),
    ("counties", PROGRAM),
    ("rulebooks", PROGRAM),
    ("rule_drafts", PROGRAM),
    ("consent_texts", PROGRAM),
    ("courses", PROGRAM),
    ("sites", PROGRAM),
    ("site_paper_kinds", PROGRAM),
    ("site_papers", PROGRAM),
    ("emergency_plans", PROGRAM),
    ("point_list_kinds", PROGRAM),
    ("point_lists", PROGRAM),
    ("session_point_lists", PROGRAM),
    ("session_machines", PROGRAM),
    ("meetings", PROGRAM),
    ("seat_limits", PROGRAM),
    ("voluntary_questions", PROGRAM),
    ("machines", PROGRAM),
    ("storage_places", PROGRAM),
    ("rule_reviews", PROGRAM),
    ("incidents", "a report of the program, sealed, with other people in it; the office gives a copy"),
    ("incident_addenda", "part of a report of the program"),
    ("incident_photos", "part of a report of the program"),
    ("concern_readers", PROGRAM),
    ("concerns", "sealed; who wrote one is told by the two people who read it"),
    ("concern_notes", "part of what two people read"),
    ("machine_defects", "about a machine"),
    ("machine_events", "about a machine"),
    ("grants", PROGRAM),
    ("gear_lots", PROGRAM),
    ("gear_stock", PROGRAM),
    ("gear_loads", PROGRAM),
    ("gear_moves", PROGRAM),
    ("gear_recalls", PROGRAM),
    ("recall_holders", "about a helmet that is told above; the family answered it itself, or told the office"),
    ("grant_counties", PROGRAM),
    ("grant_dues", PROGRAM),
    ("grant_matches", PROGRAM),
    ("session_facts", PROGRAM),
    ("month_sums", PROGRAM),
    ("audit_seals", PROGRAM),
    ("job_leases", PROGRAM),
    ("change_reasons", PROGRAM),
    ("session_changes", PROGRAM),
    ("patterns", PROGRAM),
    ("pattern_meetings", PROGRAM),
    ("pattern_staff", PROGRAM),
    ("pattern_sessions", PROGRAM),
];

const ROW: &str = "a number of this database that says nothing";
const OWN: &str = "the person's own row";
const SECRET: &str = "proves who somebody is; what it would tell is no longer known";
const OTHERS: &str = "about somebody else";
const PROGRAM: &str = "about the program, not about a person";
