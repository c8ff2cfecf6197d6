//! Places to ride: the list and the form that adds one. One site with its papers stands in `sheet`.

pub mod sheet;

use actix_web::{HttpRequest, web};
use askama::Template;
use chrono_tz::Tz;
use serde::Deserialize;

use crate::domain::seen::Seen;
use crate::domain::words::Lang;
use crate::services::sites::{self, NewPlace, SiteRow};
use crate::services::{App, Failure};
use crate::web::answer::{Answer, go, shown, shown_again};
use crate::web::blocking;
use crate::web::caller::Asking;
use crate::web::context::staff_page;
use crate::web::form::{FieldErrors, Typed};
use crate::web::moved::{Told, told};
use crate::web::page::{Choice, Page};
use crate::web::refusal_words;
use crate::web::staff_form::Reading;

#[derive(Template)]
#[template(path = "sites/list.html")]
struct SitesPage {
    page: Page,
    sites: Vec<(SiteRow, String)>,
}

#[derive(Template)]
#[template(path = "sites/new.html")]
struct NewSitePage {
    page: Page,
    errors: FieldErrors,
    form: SiteForm,
    counties: Vec<String>,
    zones: Vec<Choice>,
}

/// What the form sends.
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(default)]
pub struct SiteForm {
    seen: Seen,
    name: String,
    street: String,
    city: String,
    zip: String,
    county: String,
    time_zone: String,
    most_riders: String,
    hospital: String,
    emergency_notes: String,
    directions: String,
    latitude: String,
    longitude: String,
}

/// The zones of the fifty states, in the words of their clocks.
const ZONES: &[(&str, &str)] = &[
    ("America/New_York", "Eastern time"),
    ("America/Chicago", "Central time"),
    ("America/Denver", "Mountain time"),
    ("America/Phoenix", "Mountain time, Arizona, no daylight saving"),
    ("America/Boise", "Mountain time, southern Idaho"),
    ("America/Los_Angeles", "Pacific time"),
    ("America/Anchorage", "Alaska time"),
    ("America/Adak", "Aleutian time"),
    ("Pacific/Honolulu", "Hawaii time"),
];

/// The list.
pub async fn index(request: HttpRequest, app: web::Data<App>, Asking(caller): Asking) -> Answer {
    let sites = blocking(&app, move |app| sites::list(app, &caller)).await?;
    shown(&SitesPage { page: staff_page(&request, "Sites"), sites })
}

/// The empty form.
pub async fn new(request: HttpRequest, app: web::Data<App>, Asking(caller): Asking) -> Answer {
    let (counties, zone) = blocking(&app, move |app| sites::choices(app, &caller)).await?;
    let form = SiteForm { time_zone: zone.name().to_owned(), ..SiteForm::default() };
    shown(&form_page(&request, form, FieldErrors::default(), counties, zone))
}

/// Adds what was typed.
pub async fn create(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    Typed(form): Typed<SiteForm>,
) -> Answer {
    let asking = caller.clone();
    let mut errors = FieldErrors::default();
    match form.read() {
        Err(faults) => errors = faults,
        Ok(new) => match blocking(&app, move |app| sites::add(app, &asking, new)).await {
            // Without its papers no session can be held there: they come next.
            Ok(reference) => return Ok(go(&format!("/sites/{reference}#papers"))),
            Err(Failure::Refused(refusal)) => errors.add("county", refusal_words::words(Lang::En, &refusal)),
            Err(other) => return Err(other.into()),
        },
    }
    let (counties, zone) = blocking(&app, move |app| sites::choices(app, &caller)).await?;
    shown_again(&form_page(&request, form, errors, counties, zone))
}

fn form_page(
    request: &HttpRequest,
    form: SiteForm,
    errors: FieldErrors,
    counties: Vec<String>,
    zone: Tz,
) -> NewSitePage {
    let page = staff_page(request, "Add a site").with_errors(errors.len());
    let mut zones: Vec<Choice> =
        ZONES.iter().map(|(name, words)| Choice::new(name, format!("{words} ({name})"))).collect();
    for name in [zone.name(), form.time_zone.as_str()] {
        if !name.is_empty() && zones.iter().all(|choice| choice.value != name) {
            zones.push(Choice::new(name, name));
        }
    }
    NewSitePage { page, errors, form, counties, zones }
}

impl SiteForm {
    /// What is kept, as the form shows it.
    fn of(site: &SiteRow) -> Self {
        let degrees = |degrees: Option<f64>| degrees.map(|degrees| degrees.to_string()).unwrap_or_default();
        Self {
            seen: Seen::of(site),
            name: site.name.clone(),
            street: site.street.clone(),
            city: site.city.clone(),
            zip: site.zip.clone(),
            county: site.county.clone(),
            time_zone: site.time_zone.clone(),
            most_riders: site.most_riders.to_string(),
            hospital: site.hospital.clone(),
            emergency_notes: site.emergency_notes.clone(),
            directions: site.directions.clone(),
            latitude: degrees(site.latitude),
            longitude: degrees(site.longitude),
        }
    }

    fn told(&self) -> Told {
        told([
            ("Name", &self.name),
            ("Street and number", &self.street),
            ("Town", &self.city),
            ("ZIP code", &self.zip),
            ("Most riders at once", &self.most_riders),
            ("Nearest hospital", &self.hospital),
            ("More that helps in an emergency", &self.emergency_notes),
            ("How to get there", &self.directions),
            ("Degrees north", &self.latitude),
            ("Degrees east", &self.longitude),
        ])
    }

    /// The same answers for a site that keeps its county and its clocks.
    fn within(&self, site: &SiteRow) -> Self {
        Self { county: site.county.clone(), time_zone: site.time_zone.clone(), ..self.clone() }
    }

    fn read(&self) -> Result<NewPlace, FieldErrors> {
        let mut reading = Reading::default();
        let place = NewPlace {
            name: reading.line("name", "the site's name", &self.name, 120),
            street: reading.line("street", "the street, or how to find the gate", &self.street, 160),
            city: reading.line("city", "the town", &self.city, 120),
            zip: self.zip.trim().to_owned(),
            county: reading.line("county", "the county", &self.county, 120),
            zone: self.time_zone.parse().unwrap_or(Tz::UTC),
            most_riders: reading.whole("most_riders", "the most riders at once", &self.most_riders, 1..=500),
            hospital: reading.line("hospital", "the nearest hospital", &self.hospital, 300),
            emergency_notes: reading.lines("emergency_notes", "the emergency notes", &self.emergency_notes, 4000),
            directions: reading.lines("directions", "how to get there", &self.directions, 4000),
            coordinates: coordinates(&mut reading, &self.latitude, &self.longitude),
        };
        if place.zip.len() != 5 || !place.zip.bytes().all(|digit| digit.is_ascii_digit()) {
            reading.fault("zip", crate::language::say(Lang::En, "form-not-a-zip", &[]));
        }
        if self.time_zone.parse::<Tz>().is_err() {
            reading.chosen("time_zone", "the clocks", "");
        }
        reading.done(place)
    }
}

/// Both numbers in range, or neither.
fn coordinates(reading: &mut Reading, north: &str, east: &str) -> Option<(f64, f64)> {
    if north.trim().is_empty() && east.trim().is_empty() {
        return None;
    }
    let mut degrees = |field: &str, typed: &str, most: f64, example: &str| {
        let number = typed.trim().parse::<f64>().ok().filter(|degrees| degrees.abs() <= most);
        if number.is_none() {
            reading.fault(field, format!("Write degrees with a point, such as {example}, or leave both empty"));
        }
        number
    };
    let north = degrees("latitude", north, 90.0, "46.87");
    let east = degrees("longitude", east, 180.0, "-113.99");
    north.zip(east)
}
