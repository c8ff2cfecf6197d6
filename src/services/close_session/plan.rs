//! What closing needs and may not draw inside its transaction: codes, set and sealed papers, Message-IDs, the time.

use std::collections::BTreeMap;

use chrono::{NaiveDate, NaiveDateTime};

use super::ends::{End, Ends};
use super::is_due;
use crate::domain::access::{Caller, Duty};
use crate::domain::certificate::{CODE_BITS, CertificateCode, counts_from};
use crate::domain::ids::{AccountId, RegistrationId};
use crate::domain::people::LeapRule;
use crate::domain::words::full_name;
use crate::outside::mail::message_id;
use crate::outside::pdf::CannotSet;
use crate::services::certificates::paper::{self, About, Words};
use crate::services::{App, Failure, program};
use crate::store::certificates::{NewCertificate, certificates_of};
use crate::store::files::NewFile;
use crate::store::sessions::{SessionView, staff_of};
use crate::store::{AnyConn, StoreError};

/// A certificate ready to be written: the row without its file's id, and the sealed paper.
#[derive(Clone)]
pub(super) struct Prepared {
    pub certificate: NewCertificate,
    /// None when the name cannot be set: then a person must see to it.
    pub paper: Option<NewFile>,
}

/// Everything drawn beforehand.
pub(super) struct Plan {
    pub view: SessionView,
    pub prepared: BTreeMap<RegistrationId, Prepared>,
    pub message_ids: BTreeMap<RegistrationId, String>,
    pub at: NaiveDateTime,
    pub account: Option<AccountId>,
    pub request: String,
}

impl Plan {
    /// Draws for the session as it stands now.
    pub(super) fn of(app: &App, caller: &Caller, conn: &mut AnyConn, view: SessionView) -> Result<Self, Failure> {
        let at = app.clock.now();
        let ends = Ends::of(conn, &view.session)?;
        let earlier = certificates_of(conn, view.session.id)?;
        let about = About::of(app, conn, &view)?;
        let lead_name = lead_of(conn, &view)?;
        let completed_on = view.session.last_on;
        let leap_rule = program::load(conn)?.settings.leap_rule;
        let mut prepared = BTreeMap::new();
        for end in ends.riders.iter().filter(|end| end.completes() && is_due(&earlier, end.registration.id)) {
            let certificate = drawn(app, &view, end, &lead_name, completed_on, at, leap_rule);
            prepared.insert(end.registration.id, set(app, &about, certificate)?);
        }
        let host = app.settings.server.public_host();
        let message_ids =
            ends.riders.iter().map(|end| (end.registration.id, message_id(app.random.uuid_v7(at), host))).collect();
        Ok(Self { view, prepared, message_ids, at, account: caller.account(), request: caller.request.clone() })
    }
}

fn drawn(
    app: &App,
    view: &SessionView,
    end: &End,
    lead_name: &str,
    completed_on: NaiveDate,
    at: NaiveDateTime,
    leap_rule: LeapRule,
) -> NewCertificate {
    let least_age = view.course.least_age_certificate;
    NewCertificate {
        code: CertificateCode::from_bits(app.random.u128_bits(CODE_BITS)).as_str().to_owned(),
        registration_id: end.registration.id,
        rider_name: end.paper_name(),
        completed_on,
        valid_from: counts_from(completed_on, end.rider.birth_date, least_age, leap_rule),
        lead_name: lead_name.to_owned(),
        language: end.registration.language,
        file_id: None,
        issued_at: at,
    }
}

/// Sets the paper. A name that the font cannot set holds nobody up: the certificate stands without its paper.
fn set(app: &App, about: &About, certificate: NewCertificate) -> Result<Prepared, Failure> {
    let paper = match paper::set(about, &Words::from(&certificate)) {
        Ok(bytes) => Some(paper::seal(app, &bytes, certificate.issued_at)),
        Err(CannotSet::Characters { .. }) => None,
        Err(other) => return Err(Failure::broken(other)),
    };
    Ok(Prepared { certificate, paper })
}

fn lead_of(conn: &mut AnyConn, view: &SessionView) -> Result<String, StoreError> {
    let team = staff_of(conn, view.session.id)?;
    let lead = team.into_iter().find(|member| member.duty == Duty::Lead);
    Ok(lead.map(|lead| full_name(&lead.given_name, &lead.family_name)).unwrap_or_default())
}
