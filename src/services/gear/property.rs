//! The property list that those who pay ask for: each lot of helmets with the columns of 2 CFR 200.313(d). As a table file, too.

use chrono::{NaiveDate, NaiveDateTime};
use chrono_tz::Tz;

use super::{GrantRow, Listed, listed};
use crate::domain::access::{Action, Caller, Subject};
use crate::domain::gear::MoveKind;
use crate::domain::grant::count_is_due;
use crate::domain::time::LocalTime;
use crate::outside::table::{Form, Table};
use crate::services::{App, Failure, ask, program};
use crate::store::AnyConn;
use crate::store::gear_stock::moves_of;
use crate::store::grants::list_grants;
use crate::store::machines::list_places;

pub use crate::outside::table::MEDIA as TABLE_MEDIA;

/// One lot as the list tells it.
#[derive(Clone, Debug)]
pub struct Line {
    /// Its record, and how many are where.
    pub lot: Listed,
    /// Who paid.
    pub grant: GrantRow,
    /// How many were retired, lost or missed, and when the last one was.
    pub gone: i64,
    /// The day of the last that was retired, lost or missed.
    pub last_gone: Option<NaiveDate>,
    /// How they went, in the words of who retired them, the price of sold ones among them.
    pub gone_how: Vec<String>,
    /// The day of the last count.
    pub counted_on: Option<NaiveDate>,
    /// Whether the last count is too long ago.
    pub count_is_due: bool,
}

/// Every lot, by code.
pub fn list(app: &App, caller: &Caller) -> Result<Vec<Line>, Failure> {
    ask(caller, Action::SeeReports, Subject::Program)?;
    let clock = app.clock.clone();
    app.store.read(|conn| {
        let zone = program::load(conn)?.zone;
        lines(conn, zone, clock.today(zone))
    })
}

/// Every lot, by code, on an open connection.
pub(in crate::services) fn lines(conn: &mut AnyConn, zone: Tz, today: NaiveDate) -> Result<Vec<Line>, Failure> {
    let local = |at: NaiveDateTime| LocalTime::from_utc(at, zone).wall.date();
    let (grants, places) = (list_grants(conn)?, list_places(conn)?);
    let mut lines = Vec::new();
    for lot in listed(conn, &grants, &places, today)? {
        let grant = grants.iter().find(|grant| grant.id == lot.row.grant_id).cloned().ok_or(Failure::NotFound)?;
        let gone = Gone::of(conn, &lot)?;
        let counted_on = lot.counted_at.map(local);
        let since = counted_on.or(lot.row.received_on);
        lines.push(Line {
            count_is_due: lot.on_hand() > 0 && count_is_due(since, today),
            last_gone: gone.last.map(local),
            gone: gone.count,
            gone_how: gone.how,
            counted_on,
            grant,
            lot,
        });
    }
    lines.sort_by(|one, other| one.lot.row.code.cmp(&other.lot.row.code));
    Ok(lines)
}

/// Helmets of a lot that are no longer the program's and went to no child.
#[derive(Default)]
struct Gone {
    count: i64,
    last: Option<NaiveDateTime>,
    how: Vec<String>,
}

impl Gone {
    fn of(conn: &mut AnyConn, lot: &Listed) -> Result<Self, Failure> {
        let mut gone = Self::default();
        for one in moves_of(conn, lot.row.id)? {
            match one.kind {
                MoveKind::Retired | MoveKind::Lost | MoveKind::Missing => {
                    gone.count += one.count;
                    gone.last = gone.last.max(one.at);
                    gone.how.extend((!one.note.is_empty()).then_some(one.note));
                }
                MoveKind::Found => gone.count -= one.count,
                _ => {}
            }
        }
        Ok(gone)
    }
}

/// The columns of the file.
const COLUMNS: [&str; 23] = [
    "lot",
    "description",
    "standard",
    "made",
    "grant",
    "payer",
    "award_number",
    "title_holder",
    "received_on",
    "received",
    "unit_cost",
    "cost",
    "federal_share_percent",
    "on_hand",
    "where",
    "lent",
    "given",
    "gone",
    "last_gone_on",
    "gone_how",
    "condition",
    "last_counted_on",
    "count_due",
];

/// The list as a table file: days as ISO 8601, money in dollars, shares in percent.
pub fn file(lines: &[Line]) -> Vec<u8> {
    let mut table = Table::new(Form::default(), &COLUMNS);
    let day = |on: Option<NaiveDate>| on.map(|on| on.to_string()).unwrap_or_default();
    let money = |cents: i64| format!("{}.{:02}", cents / 100, cents % 100);
    for line in lines {
        let row = &line.lot.row;
        let share = line.grant.federal_permille.map(|share| format!("{}.{}", share / 10, share % 10));
        table.add(&[
            row.code.clone(),
            format!("Helmet, {}, size {}", row.model, row.size_label),
            row.standard.clone(),
            row.made_month.format("%Y-%m").to_string(),
            line.grant.code.clone(),
            line.grant.payer.clone(),
            line.grant.award.clone(),
            line.grant.title_holder.clone(),
            day(row.received_on),
            row.received.to_string(),
            money(row.unit_cost_cents),
            money(row.unit_cost_cents * row.received),
            share.unwrap_or_default(),
            line.lot.on_hand().to_string(),
            line.lot.spots().join(", "),
            line.lot.lent.to_string(),
            line.lot.given.to_string(),
            line.gone.to_string(),
            day(line.last_gone),
            line.gone_how.join("; "),
            if line.lot.fault.is_some() { "not handed out" } else { "in order" }.to_owned(),
            day(line.counted_on),
            if line.count_is_due { "yes" } else { "no" }.to_owned(),
        ]);
    }
    table.into_bytes()
}
