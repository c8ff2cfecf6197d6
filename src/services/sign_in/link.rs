//! Links that come by mail: to sign in without a password, and to show that a new address is one's own. Who asks learns
//! nothing about whether an address is known. Looking at a link spends nothing.

use chrono::NaiveDateTime;

use super::{Opened, Origin, Token, hash, issue};
use crate::domain::ids::{AccountId, LinkId};
use crate::domain::refusal::Refusal;
use crate::domain::sign_in::{LINK_LASTS, LINK_LETTERS, Purpose, TRIES_WINDOW, Way};
use crate::domain::words::full_name;
use crate::services::notices::{self, Notice};
use crate::services::places::{Turn, confirm_places, show_address};
use crate::services::{App, Failure};
use crate::store::accounts::{find_addressee, find_credentials, find_unshown, is_shown, remove_password, set_email};
use crate::store::audit::{AuditRow, add_audit_row};
use crate::store::families::set_guardian_email;
use crate::store::links::{LinkRow, NewLink, add_link, add_link_token, find_link, find_link_of_token, spend_link};
use crate::store::sign_ins::end_sign_ins;
use crate::store::wrong_tries::{add_wrong_try, wrong_tries_since};
use crate::store::{AnyConn, Key, StoreError};

use super::tries;

/// What using a link came to.
pub enum Used {
    /// A login.
    SignIn(Opened),
    /// The account has the new address.
    Address,
}

/// Asks for a link to sign in. The same work is done for an unknown address; only no letter goes out.
pub fn ask(app: &App, email: &str, request: &str) -> Result<(), Failure> {
    let (now, email, request) = (app.clock.now(), email.to_owned(), request.to_owned());
    let (counted, notice) = (tries::link_key(&email), notices::draw(app, Notice::SignInLink));
    app.store.write("ask for link", move |conn| -> Result<(), Failure> {
        // One that nobody has shown yet is opened by a link too: who reads the letter shows it by that.
        let (shown, unshown) = (find_credentials(conn, &email)?, find_unshown(conn, &email)?);
        let account = match shown {
            Some(found) => found.disabled_at.is_none().then_some(found.id),
            None => unshown,
        };
        let lately = wrong_tries_since(conn, &counted, now - TRIES_WINDOW, LINK_LETTERS)?.len();
        if lately >= LINK_LETTERS {
            return Ok(());
        }
        add_wrong_try(conn, std::slice::from_ref(&counted), now)?;
        let (address, earlier_address) = (String::new(), String::new());
        let link = NewLink { account, purpose: Purpose::SignIn, address, earlier_address, at: now };
        let id = add_link(conn, &link)?;
        if let Some(account) = account {
            notice.owe(conn, account, id.raw())?;
        }
        add_audit_row(conn, &about(account, id, "link.ask", &request, now))?;
        Ok(())
    })
}

/// What a letter with a link needs.
pub struct LinkLetter {
    /// The reader's name.
    pub to_name: String,
    /// Where it goes.
    pub to_address: String,
    /// The whole address of the link.
    pub href: String,
}

/// Draws a token for a letter that is about to be sent. A letter that is sent twice carries two that both serve.
/// `None`: the link was used or replaced, or its account is closed.
pub fn for_letter(app: &App, id: LinkId) -> Result<Option<LinkLetter>, Failure> {
    let token = Token::draw(&app.random);
    let (hash, now) = (token.hash(), app.clock.now());
    let found = app.store.write("draw link", move |conn| -> Result<_, Failure> {
        let Some(link) = find_link(conn, id)?.filter(|link| link.used_at.is_none() && link.voided_at.is_none()) else {
            return Ok(None);
        };
        let Some(account) = link.account_id else { return Ok(None) };
        let reader = find_addressee(conn, account)?.filter(|reader| reader.disabled_at.is_none());
        let Some(reader) = reader else { return Ok(None) };
        add_link_token(conn, id, &hash, now)?;
        let to_address = if link.purpose == Purpose::Address { link.address } else { reader.email };
        Ok(Some((full_name(&reader.given_name, &reader.family_name), to_address)))
    })?;
    let href = format!("{}/links/{}", app.settings.server.public_url, token.as_str());
    Ok(found.map(|(to_name, to_address)| LinkLetter { to_name, to_address, href }))
}

/// What a link is for.
///
/// # Errors
/// `LinkOver` when it is unknown, used, replaced by a newer one, or more than thirty minutes old.
pub fn look(app: &App, token: &str) -> Result<Purpose, Failure> {
    let now = app.clock.now();
    match app.store.read(|conn| good(conn, token, now))? {
        link if link.account_id.is_some() => Ok(link.purpose),
        _ => Err(Refusal::LinkOver.into()),
    }
}

/// The link of a token that still serves.
pub fn good(conn: &mut AnyConn, token: &str, now: NaiveDateTime) -> Result<LinkRow, Failure> {
    let found = find_link_of_token(conn, &hash(token))?;
    let is_open = |link: &LinkRow| link.used_at.is_none() && link.voided_at.is_none();
    match found {
        Some((link, drawn_at)) if is_open(&link) && now - drawn_at < LINK_LASTS => Ok(link),
        _ => Err(Refusal::LinkOver.into()),
    }
}

/// Uses a link, once.
///
/// # Errors
/// `LinkOver`, as [`look`].
pub fn use_link(app: &App, token: &str, origin: &Origin) -> Result<Used, Failure> {
    let now = app.clock.now();
    let link = app.store.read(|conn| good(conn, token, now))?;
    let account = link.account_id.ok_or(Refusal::LinkOver)?;
    match link.purpose {
        Purpose::SignIn => {
            let turn = Turn::new(app, Some(account), &origin.request);
            let owner = spend(app, link, account, origin, move |conn, account| {
                let was_shown = is_shown(conn, account)?;
                let owner = show_address(conn, &mut turn.clone(), account)?;
                if !was_shown && owner == account {
                    // Whoever registered chose a password for a mailbox that may be another's: it opens nothing.
                    remove_password(conn, owner)?;
                    end_sign_ins(conn, owner, None, now)?;
                }
                Ok(owner)
            })?;
            issue(app, owner, Way::Link, origin).map(Used::SignIn)
        }
        Purpose::Address => {
            let notices = [notices::draw(app, Notice::AddressNew), notices::draw(app, Notice::AddressOld)];
            let (address, id) = (link.address.clone(), link.id);
            let turn = Turn::new(app, Some(account), &origin.request);
            spend(app, link, account, origin, move |conn, account| {
                match set_email(conn, account, &address, now) {
                    Err(StoreError::Duplicate(Key::AccountEmail)) => return Err(Refusal::LinkOver.into()),
                    other => other?,
                }
                set_guardian_email(conn, account, &address)?;
                confirm_places(conn, &mut turn.clone(), account)?;
                for notice in &notices {
                    notice.owe(conn, account, id.raw())?;
                }
                Ok(())
            })?;
            Ok(Used::Address)
        }
        Purpose::FirstAccount => Err(Refusal::LinkOver.into()),
    }
}

fn spend<T: Send + 'static>(
    app: &App,
    link: LinkRow,
    account: AccountId,
    origin: &Origin,
    work: impl Fn(&mut AnyConn, AccountId) -> Result<T, Failure> + Send + 'static,
) -> Result<T, Failure> {
    let (now, request) = (app.clock.now(), origin.request.clone());
    app.store.write("use link", move |conn| -> Result<T, Failure> {
        if !spend_link(conn, link.id, now)? {
            return Err(Refusal::LinkOver.into());
        }
        let done = work(conn, account)?;
        add_audit_row(conn, &about(Some(account), link.id, "link.use", &request, now))?;
        Ok(done)
    })
}

fn about(account: Option<AccountId>, id: LinkId, action: &'static str, request: &str, at: NaiveDateTime) -> AuditRow {
    let (subject, detail) = (format!("link {}", id.raw()), String::new());
    AuditRow { at, account, action, subject, request: request.to_owned(), detail }
}
