//! Grants and helmets of the demonstration.

use std::collections::BTreeMap;

use chrono::{Datelike, Days, NaiveDate, NaiveTime};
use serde::Deserialize;

use super::{Announced, Builder};
use crate::domain::access::Caller;
use crate::domain::machine::record::PlaceKind;
use crate::domain::measures::Length;
use crate::services::gear::{loads, receive};
use crate::services::{App, Failure};
use crate::store::gear::{NewLot, add_lot};
use crate::store::grants::{GrantFacts, add_due, add_grant};
use crate::store::machines::list_places;
use crate::store::{AnyConn, StoreError};

#[derive(Clone, Debug, Deserialize)]
pub(super) struct GrantPart {
    pub(super) code: String,
    name: String,
    helmets_target: i64,
    payer: String,
    award: String,
    federal_permille: i64,
    report_in_days: u64,
}

#[derive(Clone, Debug, Deserialize)]
pub(super) struct LotPart {
    code: String,
    grant: String,
    model: String,
    size: String,
    least_cm: i64,
    most_cm: i64,
    cost_cents: i64,
    received: i64,
}

/// Adds grants with a report that is due, and their lots, all of it in the store.
pub(super) fn add(
    parts: &[GrantPart],
    lots: &[LotPart],
    app: &App,
    conn: &mut AnyConn,
    today: NaiveDate,
) -> Result<(), StoreError> {
    let from = NaiveDate::from_ymd_opt(today.year() - 1, 1, 1).expect("a first of January");
    let through = NaiveDate::from_ymd_opt(today.year() + 1, 12, 31).expect("a last of December");
    let places = list_places(conn)?;
    let store = places.iter().find(|place| place.kind == PlaceKind::Store).expect("there is a store");
    let mut grants = BTreeMap::new();
    for part in parts {
        let cost = lots.iter().filter(|lot| lot.grant == part.code).map(|lot| lot.cost_cents * lot.received);
        let facts = GrantFacts {
            payer: part.payer.clone(),
            award: part.award.clone(),
            title_holder: "Tamarack Ridge Youth Riding Program".to_owned(),
            federal_permille: Some(part.federal_permille),
            budget_cents: Some(cost.sum::<i64>() + 150_000),
            match_cents: Some(200_000),
            hour_cents: Some(3_000),
            mile_tenth_cents: Some(650),
            ..GrantFacts::named(&part.code, &part.name, (from, through), part.helmets_target)
        };
        let id = add_grant(conn, &app.random.reference(), &facts)?;
        add_due(conn, id, today + Days::new(part.report_in_days), "Report of helmets given, by county")?;
        grants.insert(part.code.as_str(), id);
    }
    for part in lots {
        let lot = NewLot {
            reference: app.random.reference(),
            code: part.code.clone(),
            grant_id: grants[part.grant.as_str()],
            model: part.model.clone(),
            size_label: part.size.clone(),
            least_head_um: Length::from_cm(part.least_cm).um(),
            most_head_um: Length::from_cm(part.most_cm).um(),
            standard: "DOT FMVSS No. 218".into(),
            made_month: from,
            unit_cost_cents: part.cost_cents,
            received: part.received,
            received_on: Some(from),
        };
        let (id, place) = (add_lot(conn, &lot)?, store.id);
        receive(conn, id, (place, part.received), &Caller::anonymous(), from.and_time(NaiveTime::MIN))?;
    }
    Ok(())
}

/// Three helmets of each lot go to the session of today, from the store.
pub(super) fn load(builder: &Builder, session: &Announced) -> Result<(), Failure> {
    let coordinator = builder.members.coordinator();
    let found = loads::show(&builder.app, &coordinator, &session.reference)?;
    let store = found.places.iter().find(|place| place.kind == PlaceKind::Store).ok_or(Failure::NotFound)?;
    let wanted = found.lots.iter().map(|one| (one.lot.row.reference.clone(), 3)).collect();
    loads::load(&builder.app, &coordinator, &session.reference, store.id.raw(), &wanted, &found.seen)
}
