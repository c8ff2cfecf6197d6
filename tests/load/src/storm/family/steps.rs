//! The steps of registering up to the last page: what is typed where, with every redirect followed.

use anyhow::{Context, bail};

use super::{Child, Family, mailbox, surname};
use crate::storm::form::Form;

/// More steps than any way through the pages has.
const MOST: usize = 40;

impl Family<'_> {
    /// Goes from a step to the last page, and gives its address and its form, filled in and not yet sent.
    pub(super) fn walk(&mut self, child: &Child, from: &str) -> anyhow::Result<(String, Form)> {
        let mut path = from.to_owned();
        for _ in 0..MOST {
            let page = self.page(&path)?;
            if page.status == 303 {
                path = page.location;
                continue;
            }
            let step = path.rsplit('/').next().unwrap_or_default().to_owned();
            let form = Form::of(&page.body, &path).with_context(|| format!("{path} has no form: {}", page.status))?;
            let form = filled(&step, form, child, self.number);
            if step == "check" {
                return Ok((path, form));
            }
            let (to, body) = (path.clone(), form.body());
            let answered = self.patiently(&path, |browser| browser.post(&to, &body))?;
            if answered.status != 303 {
                let faults = answered.body.split("role=\"alert\"").nth(1).and_then(|rest| rest.split("</div>").next());
                bail!("{path}: {} {}", answered.status, faults.unwrap_or_default());
            }
            path = answered.location;
        }
        bail!("{path}: the steps go round in a ring")
    }
}

/// The form of a step as this family fills it in.
pub fn filled(step: &str, form: Form, child: &Child, family: usize) -> Form {
    let (given, own) = child.name.split_once(' ').unwrap_or((&child.name, ""));
    match step {
        "rider" => form.with(&[
            ("known", ""),
            ("given", given),
            ("family", own),
            ("birth_month", &(family % 12 + 1).to_string()),
            ("birth_day", &(family / 12 % 28 + 1).to_string()),
            ("birth_year", "2014"),
            ("county", "30049"),
            ("ridden", "never"),
        ]),
        "health" => form.with(&[("any", "no"), ("injector", "no"), ("medicine", "no")]),
        "adults" => adults(form, family),
        "sizes" => form.with(&[
            ("units", "us"),
            ("height_unknown", "yes"),
            ("weight_unknown", "yes"),
            ("inseam_unknown", "yes"),
            ("head_unknown", "yes"),
            ("chart", "none"),
        ]),
        _ => {
            let mut form = form.with(&[("signature", &format!("Pat {}", surname(family)))]);
            form.tick("ride-");
            form
        }
    }
}

/// Who answers for the child is asked of new families only.
fn adults(form: Form, family: usize) -> Form {
    let (surname, mailbox) = (surname(family), mailbox(family));
    let is_new = form.get("email").is_some();
    let form = form.with(&[
        ("first_name", "Robin Vale"),
        ("first_phone", "406-555-0123"),
        ("second_name", "Sam Vale"),
        ("second_phone", "406-555-0124"),
        ("pick_up_name", "Robin Vale"),
        ("pick_up_phone", "406-555-0123"),
    ]);
    match is_new {
        true => form.with(&[
            ("given", "Pat"),
            ("family", &surname),
            ("phone", &format!("406-{:03}-{:04}", 200 + family / 10_000, family % 10_000)),
            ("email", &mailbox),
            ("password", "quiet lanterns over gravel"),
        ]),
        false => form,
    }
}
