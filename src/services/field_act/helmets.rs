//! Acts about helmets: handed out, checked on the head, back again, signed for. Where the helmets are changes in the act's own
//! transaction.

use std::collections::BTreeSet;

use super::{About, Hand};
use crate::domain::acts::{Act, Body};
use crate::domain::gear::{HelmetFault, SignedOn, Way};
use crate::domain::point_list::{PointKey, PointListKind};
use crate::domain::refusal::{GearRefusal, Refusal};
use crate::services::Failure;
use crate::services::gear::LotRules;
use crate::services::gear::grants::may_give;
use crate::services::gear::handing::Hands;
use crate::store::AnyConn;
use crate::store::gear::{LotRow, find_lot};

impl Hand {
    /// A helmet that the rider can have: of a lot that is handed out, made for the measured head, and to keep only one that
    /// the grant gives this child.
    pub(super) fn helmet(&self, conn: &mut AnyConn, about: &About, lot: String, way: Way) -> Result<Body, Failure> {
        let row = self.lot(conn, &lot)?;
        LotRules::load(conn)?.must_serve(&row, self.opened.today)?;
        if about.day.head_um.is_some_and(|head| !row.holds(head)) {
            return Err(Refusal::Gear(GearRefusal::HelmetSize).into());
        }
        if way == Way::Given {
            let (_, rider) = self.opened.rider(conn, &about.reference)?;
            let no = |no| Refusal::Gear(GearRefusal::Grant(no));
            may_give(conn, &row, &rider, about.age, (self.opened.today, self.opened.zone))?.map_err(no)?;
        }
        Ok(Body::Helmet { lot, way })
    }

    /// The helmet on the head, by the list of this session. Of a helmet of the program's the measured head has the last word
    /// about the size.
    pub(super) fn helmet_check(
        &self,
        conn: &mut AnyConn,
        about: &About,
        lot: Option<String>,
        (size, comfortable): (bool, bool),
        wrong: BTreeSet<PointKey>,
    ) -> Result<Body, Failure> {
        let list = self.opened.points(conn, PointListKind::HelmetCheck)?;
        if !wrong.iter().all(|key| list.has(key)) {
            return Err(Failure::NotFound);
        }
        let row = lot.map(|code| self.lot(conn, &code)).transpose()?;
        let rules = LotRules::load(conn)?;
        if row.as_ref().and_then(|row| rules.fault(row, self.opened.today)) == Some(HelmetFault::Recalled) {
            return Err(Refusal::Gear(GearRefusal::Recalled).into());
        }
        let holds_head = |row: &LotRow| about.day.head_um.is_none_or(|head| row.holds(head));
        let size = size && row.as_ref().is_none_or(holds_head);
        Ok(Body::HelmetCheck { lot: row.map(|row| row.code), version: list.version(), size, wrong, comfortable })
    }

    /// An adult's name under a receipt.
    pub(super) fn receipt(&self, conn: &mut AnyConn, lot: &str, name: &str, on: SignedOn) -> Result<Body, Failure> {
        if name.trim().is_empty() {
            return Err(Refusal::AdultNeeded.into());
        }
        Ok(Body::Receipt { lot: self.lot(conn, lot)?.code, name: name.to_owned(), on })
    }

    /// The lot of a code.
    pub(super) fn lot(&self, conn: &mut AnyConn, code: &str) -> Result<LotRow, Failure> {
        find_lot(conn, code)?.ok_or(Failure::NotFound)
    }

    /// Moves the helmet that an act hands out or takes back.
    pub(super) fn move_helmet(&self, conn: &mut AnyConn, about: Option<&About>, act: &Act) -> Result<(), Failure> {
        let Some(about) = about else { return Ok(()) };
        match &act.body {
            Body::Helmet { lot, way } => {
                let lot = self.lot(conn, lot)?;
                self.hands().hand_out(conn, lot.id, about.id, &act.id, *way)
            }
            Body::HelmetBack { lot, how } => {
                let lot = self.lot(conn, lot)?;
                self.hands().came_back(conn, lot.id, about.id, *how)
            }
            _ => Ok(()),
        }
    }

    /// Puts back a helmet whose act is undone.
    pub(super) fn take_back_helmet(&self, conn: &mut AnyConn, act: &Act) -> Result<(), Failure> {
        match act.body {
            Body::Helmet { .. } => Ok(self.hands().take_back(conn, &act.id)?),
            _ => Ok(()),
        }
    }

    fn hands(&self) -> Hands {
        Hands { session: self.opened.view.session.id, account: self.person.account, at: self.now }
    }
}
