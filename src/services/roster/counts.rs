//! Counts that the roster's pages always show: heads at the last count, and marks that meet in each lesson.

use std::collections::BTreeMap;

use chrono::NaiveTime;

use super::super::Failure;
use super::line::Line;
use super::opened::{Opened, counted_by_rider};
use crate::domain::acts::{Act, Body, CountMoment};
use crate::domain::curriculum::{CheckCode, Curriculum, Lesson};
use crate::domain::day::Day;
use crate::domain::skill::{Standing, standing};
use crate::domain::words::Lang;
use crate::store::AnyConn;
use crate::store::acts::KeptAct;

/// The figures that stand on every page of a session.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Counts {
    /// Riders with a seat, and whoever came.
    pub riders: usize,
    /// Riders who came.
    pub came: usize,
    /// Riders who are here in full gear on a machine that fits, with the proof that the course needs.
    pub ready: usize,
    /// Riders who are here, so not home.
    pub here: usize,
    /// The last head count.
    pub heads: Option<HeadCount>,
}

/// Works the figures out from the acts.
pub(super) fn counts(opened: &Opened, conn: &mut AnyConn, acts: &[KeptAct]) -> Result<Counts, Failure> {
    let curriculum = opened.curriculum(conn)?;
    let by_rider = counted_by_rider(acts);
    let riders = opened.riders(conn, &by_rider)?;
    let mut figures = Counts { riders: riders.len(), heads: last_count(opened, acts), ..Counts::default() };
    for (registration, _) in &riders {
        let own = by_rider.get(&registration.id).map_or(&[][..], Vec::as_slice);
        let day = Day::of(own, curriculum, opened.meeting.ordinal);
        figures.came += usize::from(day.arrived_at.is_some());
        figures.here += usize::from(day.is_here());
        let is_parked = opened.parked_now(conn, &day)?.is_some();
        let is_ready = day.is_ready() && !is_parked && !opened.proof(conn, registration.id, &day)?.holds_back();
        figures.ready += usize::from(is_ready);
    }
    Ok(figures)
}

/// A count of heads.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct HeadCount {
    /// When heads are counted.
    pub moment: CountMoment,
    /// How many should have been there.
    pub expected: i64,
    /// How many were.
    pub counted: i64,
    /// On the wall at the site.
    pub at: NaiveTime,
}

impl HeadCount {
    /// Whether somebody is missing, or one too many.
    pub fn is_wrong(&self) -> bool {
        self.expected != self.counted
    }
}

/// The latest count of heads that counts.
pub(super) fn last_count(opened: &Opened, acts: &[KeptAct]) -> Option<HeadCount> {
    let of_meeting = |kept: &&KeptAct| kept.counts() && kept.act.meeting == opened.meeting.ordinal;
    let mut counted: Vec<&Act> = acts.iter().filter(of_meeting).map(|kept| &kept.act).collect();
    counted.sort_by_key(|act| (act.order(), act.id));
    counted.iter().rev().find_map(|act| match act.body {
        Body::Count { moment, expected, counted, .. } => {
            Some(HeadCount { moment, expected, counted, at: opened.clock(act.at) })
        }
        _ => None,
    })
}

/// How far a lesson has come: riders who met all its required checks, of those here or gone home.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct LessonCount {
    /// Its number.
    pub number: u16,
    /// Its name.
    pub title: String,
    /// Marks that meet.
    pub met: usize,
    /// Marks to give.
    pub of: usize,
}

/// How far each lesson has come for these riders.
pub(super) fn lesson_counts(curriculum: &Curriculum, lines: &[Line]) -> Vec<LessonCount> {
    let came: Vec<_> =
        lines.iter().filter(|line| line.day.arrived_at.is_some()).map(|line| standing(&line.day.attempts)).collect();
    let count = |lesson: &Lesson| {
        let codes: Vec<_> = lesson.checks.iter().filter(|check| check.required).map(|check| check.code).collect();
        let met = came.iter().map(|standing| met_of(standing, &codes)).sum();
        let title = lesson.title.in_lang(Lang::En).to_owned();
        LessonCount { number: lesson.number, title, met, of: came.len() * codes.len() }
    };
    curriculum.lessons().iter().map(count).collect()
}

fn met_of(standing: &BTreeMap<CheckCode, Standing>, codes: &[CheckCode]) -> usize {
    codes.iter().filter(|code| standing.get(code) == Some(&Standing::Meets)).count()
}
