//! The helmet of one rider: which can be handed out, the check of the one on the head, what was lent or given, and the receipt
//! that an adult signs. Reads only.

use super::super::gear::LotRules;
use super::super::gear::handing::in_reach;
use super::super::{App, Failure, program};
use super::opened::{Opened, counted_by_rider, open};
use super::rider::adults;
use super::{Head, Line};
use crate::domain::access::Caller;
use crate::domain::cautions::CautionKey;
use crate::domain::day::Day;
use crate::domain::gear::{HeadRange, Way, usable_through};
use crate::domain::point_list::PointListKind;
use crate::domain::words::Lang;
use crate::store::AnyConn;
use crate::store::gear::{LotRow, find_lot, list_lots};
use chrono::NaiveDate;

/// The helmet of one rider.
#[derive(Clone, Debug)]
pub struct HelmetPage {
    /// The session.
    pub head: Head,
    /// The rider.
    pub line: Line,
    /// The points of the check: key, title, what is looked for.
    pub points: Vec<(String, String, String)>,
    /// Helmets that can go to this rider.
    pub choices: Vec<HelmetChoice>,
    /// Adults who may sign.
    pub adults: Vec<String>,
}

/// Helmets of one lot that are left.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct HelmetChoice {
    /// The lot's code.
    pub lot: String,
    /// Make, model and size.
    pub what: String,
    /// For heads of these circumferences.
    pub heads: HeadRange,
    /// How many are left.
    pub left: i64,
}

/// The helmet of one rider.
///
/// # Errors
/// `NotFound` for a rider of another session, or when the caller may not know of this one.
pub fn show(app: &App, caller: &Caller, reference: &str, rider: &str) -> Result<HelmetPage, Failure> {
    let now = app.clock.now();
    app.store.read(|conn| {
        let opened = open(conn, caller, reference, now)?;
        let row = opened.rider(conn, rider)?;
        let acts = opened.acts(conn)?;
        let head = opened.head(conn, caller, &acts, CautionKey::Riding)?;
        let own = counted_by_rider(&acts).remove(&row.0.id).unwrap_or_default();
        let day = Day::of(&own, opened.curriculum(conn)?, opened.meeting.ordinal);
        let list = opened.points(conn, PointListKind::HelmetCheck)?;
        let point = |point: &crate::domain::point_list::Point| {
            let said = |text: &crate::domain::curriculum::LocalText| text.in_lang(Lang::En).to_owned();
            (point.key.0.clone(), said(&point.title), said(&point.look_for))
        };
        Ok(HelmetPage {
            choices: choices(conn, &opened, day.head_um)?,
            points: list.points().iter().map(point).collect(),
            adults: adults(conn, &row.0)?.0,
            line: opened.line(app, conn, &row, day, head.reads_health)?,
            head,
        })
    })
}

/// Lots with helmets left, young enough, made for this head when it was measured.
pub(super) fn choices(conn: &mut AnyConn, opened: &Opened, head_um: Option<i64>) -> Result<Vec<HelmetChoice>, Failure> {
    let rules = LotRules::load(conn)?;
    let reach = in_reach(conn, opened.view.session.id)?;
    let left = |lot: &LotRow| reach.get(&lot.id).copied().unwrap_or(0);
    let mut lots = list_lots(conn)?;
    lots.retain(|lot| {
        left(lot) > 0 && rules.fault(lot, opened.today).is_none() && head_um.is_none_or(|head| lot.holds(head))
    });
    let choice = |lot: LotRow| HelmetChoice { what: what(&lot), heads: lot.heads(), left: left(&lot), lot: lot.code };
    Ok(lots.into_iter().map(choice).collect())
}

fn what(lot: &LotRow) -> String {
    format!("{}, size {}", lot.model, lot.size_label)
}

/// What an adult signs for.
#[derive(Clone, Debug)]
pub struct ReceiptPage {
    /// The rider's given name.
    pub given: String,
    /// The site.
    pub site: String,
    /// The day.
    pub on: NaiveDate,
    /// Helmets that the rider has from the program and nobody has signed for.
    pub helmets: Vec<Unsigned>,
    /// Adults who may take the child, the first of whom is proposed.
    pub adults: Vec<String>,
}

/// A helmet without a receipt.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Unsigned {
    /// The lot's code.
    pub lot: String,
    /// Make, model and size.
    pub what: String,
    /// Standard on the label.
    pub standard: String,
    /// Lent or given.
    pub way: Way,
    /// The last day of its use.
    pub usable_through: NaiveDate,
}

/// What an adult signs for, of one rider.
///
/// # Errors
/// `NotFound` for a rider of another session, or when the caller may not know of this one.
pub fn receipt(app: &App, caller: &Caller, reference: &str, rider: &str) -> Result<ReceiptPage, Failure> {
    let now = app.clock.now();
    app.store.read(|conn| {
        let opened = open(conn, caller, reference, now)?;
        let row = opened.rider(conn, rider)?;
        let acts = opened.acts(conn)?;
        let own = counted_by_rider(&acts).remove(&row.0.id).unwrap_or_default();
        let day = Day::of(&own, opened.curriculum(conn)?, opened.meeting.ordinal);
        let years = program::load(conn)?.settings.helmet_years;
        let mut helmets = Vec::new();
        for (code, way) in day.helmets.iter().filter(|(code, _)| !day.receipts.contains_key(code)) {
            let Some(lot) = find_lot(conn, code)? else { continue };
            helmets.push(Unsigned {
                what: what(&lot),
                usable_through: usable_through(lot.made_month, years),
                standard: lot.standard,
                lot: lot.code,
                way: *way,
            });
        }
        Ok(ReceiptPage {
            given: row.1.given_name.clone(),
            site: opened.view.site.name.clone(),
            on: opened.meeting.on,
            helmets,
            adults: adults(conn, &row.0)?.0,
        })
    })
}
