//! What the letter to a family about a helmet that is called back says.

use super::{OfChild, is_open, name_of, told};
use crate::domain::ids::AccountId;
use crate::services::ties::speaker;
use crate::services::{App, Failure};
use crate::store::gear::list_lots;
use crate::store::recalls::{find_holder, list_recalls};
use crate::store::registrations::find_registration_by_id;

/// What the letter of a recall needs to know. None when nobody is owed it any more.
#[derive(Clone, Debug)]
pub struct ForLetter {
    /// The reader's name.
    pub to_name: String,
    /// The reader's address.
    pub to_address: String,
    /// The child's given name.
    pub given: String,
    /// The child's reference.
    pub rider: String,
    /// What is called back, and why.
    pub helmet: OfChild,
}

/// What the letter about a helmet needs to know, for the adult of an account.
pub fn for_letter(app: &App, number: i64, account: AccountId) -> Result<Option<ForLetter>, Failure> {
    app.store.read(|conn| {
        let Some(holder) = find_holder(conn, number)?.filter(is_open) else { return Ok(None) };
        let (registration, rider) = find_registration_by_id(conn, holder.registration_id)?;
        let adult = speaker(conn, &registration)?.filter(|adult| adult.account_id == Some(account));
        let recall = list_recalls(conn)?.into_iter().find(|one| one.id == holder.recall_id && one.ended_at.is_none());
        let (Some(adult), Some(recall)) = (adult, recall) else { return Ok(None) };
        let helmet = told(&list_lots(conn)?, &recall, &holder);
        let address = adult.email.clone().filter(|_| adult.has_letters());
        Ok(helmet.zip(address).map(|(helmet, to_address)| ForLetter {
            to_name: name_of(&adult),
            to_address,
            given: rider.given_name,
            rider: rider.reference,
            helmet,
        }))
    })
}
