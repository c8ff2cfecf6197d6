//! Entries of one child that became one, with what is needed to undo it, and children who look like one and are two.

use chrono::NaiveDateTime;
use diesel::prelude::*;

use super::alike::compare_again;
use super::connection::AnyConn;
use super::error::StoreError;
use super::schema::{
    children_apart, guardianships, measures, merged_measures, merged_registrations, merged_ties, merges, registrations,
    rider_facts, riders,
};
use crate::domain::access::Guardianship;
use crate::domain::ids::{GuardianId, MergeId, RegistrationId, RiderId};

/// Two entries that became one, and were not parted since.
#[derive(Clone, Debug, PartialEq, Eq, Queryable, Selectable)]
#[diesel(table_name = merges)]
pub struct MergeRow {
    /// The row.
    pub id: MergeId,
    /// The entry that stays.
    pub stays_id: RiderId,
    /// The entry that went into it.
    pub goes_id: RiderId,
    /// When, in UTC.
    pub at: NaiveDateTime,
}

/// How an adult stands to a rider: the state, since when, and the office's words.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Tie {
    /// How.
    pub state: Guardianship,
    /// Since when, in UTC.
    pub since: NaiveDateTime,
    /// How it came to stand so.
    pub note: String,
}

/// How one adult stood to two entries, and stands to the child that they became.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct TieOfTwo {
    /// The adult.
    pub guardian: GuardianId,
    /// Before, to the entry that stays.
    pub stays: Option<Tie>,
    /// Before, to the entry that went.
    pub goes: Option<Tie>,
    /// Afterwards.
    pub state: Guardianship,
}

/// The ties of a rider, which nobody else changes or leans on until this transaction ends.
pub fn hold_ties(conn: &mut AnyConn, rider: RiderId) -> Result<Vec<(GuardianId, Tie)>, StoreError> {
    let held: Vec<(GuardianId, Guardianship, NaiveDateTime, String)> =
        diesel::update(guardianships::table.filter(guardianships::rider_id.eq(rider)))
            .set(guardianships::state.eq(guardianships::state))
            .returning((guardianships::guardian_id, guardianships::state, guardianships::since, guardianships::note))
            .get_results(conn)?;
    let mut ties: Vec<_> =
        held.into_iter().map(|(guardian, state, since, note)| (guardian, Tie { state, since, note })).collect();
    ties.sort_by_key(|(guardian, _)| *guardian);
    Ok(ties)
}

/// Puts the ties of a rider in place of all that it has.
pub fn replace_ties(conn: &mut AnyConn, rider: RiderId, ties: &[(GuardianId, Tie)]) -> Result<(), StoreError> {
    diesel::delete(guardianships::table.filter(guardianships::rider_id.eq(rider))).execute(conn)?;
    for (guardian, tie) in ties {
        diesel::insert_into(guardianships::table)
            .values((
                guardianships::guardian_id.eq(guardian),
                guardianships::rider_id.eq(rider),
                guardianships::state.eq(tie.state),
                guardianships::since.eq(tie.since),
                guardianships::note.eq(&tie.note),
            ))
            .execute(conn)?;
    }
    compare_again(conn, rider)
}

/// Notes that one entry goes into another, with how each adult stood to the two. Gives the note's row.
pub fn add_merge(
    conn: &mut AnyConn,
    (stays, goes): (RiderId, RiderId),
    ties: &[TieOfTwo],
    at: NaiveDateTime,
) -> Result<MergeId, StoreError> {
    let id: MergeId = diesel::insert_into(merges::table)
        .values((merges::stays_id.eq(stays), merges::goes_id.eq(goes), merges::at.eq(at)))
        .returning(merges::id)
        .get_result(conn)?;
    for tie in ties {
        let (before, other) = (tie.stays.as_ref(), tie.goes.as_ref());
        diesel::insert_into(merged_ties::table)
            .values((
                merged_ties::merge_id.eq(id),
                merged_ties::guardian_id.eq(tie.guardian),
                merged_ties::stays_state.eq(before.map(|tie| tie.state)),
                merged_ties::stays_since.eq(before.map(|tie| tie.since)),
                merged_ties::stays_note.eq(before.map(|tie| &tie.note)),
                merged_ties::goes_state.eq(other.map(|tie| tie.state)),
                merged_ties::goes_since.eq(other.map(|tie| tie.since)),
                merged_ties::goes_note.eq(other.map(|tie| &tie.note)),
                merged_ties::state.eq(tie.state),
            ))
            .execute(conn)?;
    }
    Ok(id)
}

/// What is stored of a tie.
type Stored = (Option<Guardianship>, Option<NaiveDateTime>, Option<String>);

fn tie((state, since, note): Stored) -> Option<Tie> {
    Some(Tie { state: state?, since: since?, note: note? })
}

/// How each adult stood to the two entries of a merge.
pub fn ties_of_merge(conn: &mut AnyConn, id: MergeId) -> Result<Vec<TieOfTwo>, StoreError> {
    let rows: Vec<(GuardianId, Stored, Stored, Guardianship)> = merged_ties::table
        .filter(merged_ties::merge_id.eq(id))
        .order(merged_ties::guardian_id)
        .select((
            merged_ties::guardian_id,
            (merged_ties::stays_state, merged_ties::stays_since, merged_ties::stays_note),
            (merged_ties::goes_state, merged_ties::goes_since, merged_ties::goes_note),
            merged_ties::state,
        ))
        .load(conn)?;
    let one = |(guardian, stays, goes, state)| TieOfTwo { guardian, stays: tie(stays), goes: tie(goes), state };
    Ok(rows.into_iter().map(one).collect())
}

/// Moves these registrations, and every measure, of the entry that goes; facts that were counted go with them.
pub fn move_entry(conn: &mut AnyConn, merge: &MergeRow, moved: &[RegistrationId]) -> Result<(), StoreError> {
    let measured: Vec<i64> = measures::table
        .filter(measures::rider_id.eq(merge.goes_id))
        .order(measures::id)
        .select(measures::id)
        .load(conn)?;
    for registration in moved {
        let row = (merged_registrations::merge_id.eq(merge.id), merged_registrations::registration_id.eq(registration));
        diesel::insert_into(merged_registrations::table).values(row).execute(conn)?;
    }
    for measure in &measured {
        let row = (merged_measures::merge_id.eq(merge.id), merged_measures::measure_id.eq(measure));
        diesel::insert_into(merged_measures::table).values(row).execute(conn)?;
    }
    give(conn, merge.stays_id, moved, &measured)
}

/// Gives back to the entry that went what it brought and what is there still. Gives the registrations.
pub fn move_back(conn: &mut AnyConn, merge: &MergeRow) -> Result<Vec<RegistrationId>, StoreError> {
    let moved: Vec<RegistrationId> = merged_registrations::table
        .filter(merged_registrations::merge_id.eq(merge.id))
        .order(merged_registrations::registration_id)
        .select(merged_registrations::registration_id)
        .load(conn)?;
    let measured: Vec<i64> = merged_measures::table
        .filter(merged_measures::merge_id.eq(merge.id))
        .select(merged_measures::measure_id)
        .load(conn)?;
    // What was measured since for one of these registrations was measured on this child.
    let since: Vec<i64> =
        measures::table.filter(measures::registration_id.eq_any(&moved)).select(measures::id).load(conn)?;
    give(conn, merge.goes_id, &moved, &[measured, since].concat())?;
    Ok(moved)
}

fn give(conn: &mut AnyConn, to: RiderId, moved: &[RegistrationId], measured: &[i64]) -> Result<(), StoreError> {
    let key: String = riders::table.filter(riders::id.eq(to)).select(riders::report_key).first(conn)?;
    let references: Vec<String> = diesel::update(registrations::table.filter(registrations::id.eq_any(moved)))
        .set(registrations::rider_id.eq(to))
        .returning(registrations::reference)
        .get_results(conn)?;
    diesel::update(measures::table.filter(measures::id.eq_any(measured)))
        .set(measures::rider_id.eq(to))
        .execute(conn)?;
    diesel::update(rider_facts::table.filter(rider_facts::registration_ref.eq_any(references)))
        .set(rider_facts::rider_key.eq(key))
        .execute(conn)?;
    Ok(())
}

/// The merges into a rider that were not undone, the newest first.
pub fn merges_into(conn: &mut AnyConn, rider: RiderId) -> Result<Vec<MergeRow>, StoreError> {
    Ok(merges::table
        .filter(merges::stays_id.eq(rider))
        .filter(merges::undone_at.is_null())
        .order(merges::id.desc())
        .select(MergeRow::as_select())
        .load(conn)?)
}

/// A rider and every entry that went into it, straight or through another.
pub fn entries_of(conn: &mut AnyConn, rider: RiderId) -> Result<Vec<RiderId>, StoreError> {
    let mut found = vec![rider];
    let mut next = 0;
    while let Some(entry) = found.get(next).copied() {
        found.extend(merges_into(conn, entry)?.into_iter().map(|merge| merge.goes_id));
        next += 1;
    }
    Ok(found)
}

/// The rider that an entry is now: itself, or what it went into.
pub fn standing(conn: &mut AnyConn, rider: RiderId) -> Result<RiderId, StoreError> {
    let mut now = rider;
    loop {
        let next = merges::table
            .filter(merges::goes_id.eq(now))
            .filter(merges::undone_at.is_null())
            .select(merges::stays_id)
            .first(conn)
            .optional()?;
        match next {
            Some(next) => now = next,
            None => return Ok(now),
        }
    }
}

/// Notes that a merge was undone. `false`: it was before.
pub fn set_undone(conn: &mut AnyConn, id: MergeId, at: NaiveDateTime) -> Result<bool, StoreError> {
    let stands = merges::table.filter(merges::id.eq(id)).filter(merges::undone_at.is_null());
    Ok(diesel::update(stands).set(merges::undone_at.eq(at)).execute(conn)? == 1)
}

fn in_order(one: RiderId, other: RiderId) -> (RiderId, RiderId) {
    (one.min(other), one.max(other))
}

/// Notes that two who look like one child are two. Saying so again changes nothing.
pub fn set_apart(conn: &mut AnyConn, one: RiderId, other: RiderId, at: NaiveDateTime) -> Result<(), StoreError> {
    let (one, other) = in_order(one, other);
    let known = children_apart::table.filter(children_apart::one_id.eq(one)).filter(children_apart::other_id.eq(other));
    if diesel::update(known).set(children_apart::at.eq(at)).execute(conn)? == 0 {
        let row = (children_apart::one_id.eq(one), children_apart::other_id.eq(other), children_apart::at.eq(at));
        diesel::insert_into(children_apart::table).values(row).execute(conn)?;
    }
    Ok(())
}

/// Every two who are known to be two, the older row first.
pub fn all_apart(conn: &mut AnyConn) -> Result<Vec<(RiderId, RiderId)>, StoreError> {
    Ok(children_apart::table.select((children_apart::one_id, children_apart::other_id)).load(conn)?)
}
