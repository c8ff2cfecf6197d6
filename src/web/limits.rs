//! How often one address and one account may ask, by kind of page. Numbers come from the settings.
//!
//! Counted in memory of this process: several instances each count for themselves.

use std::net::{IpAddr, Ipv6Addr};
use std::num::NonZeroU32;
use std::sync::atomic::{AtomicU32, Ordering};

use actix_web::HttpRequest;
use governor::clock::{Clock, DefaultClock};
use governor::{DefaultKeyedRateLimiter, Quota, RateLimiter};

use crate::domain::ids::AccountId;
use crate::settings::{Network, Rate, Rates};

/// The kind of page that a line of the route table leads to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Limit {
    /// Health checks and our own files: not counted.
    Free,
    /// Ordinary pages.
    Page,
    /// Signing in, resetting a password.
    SignIn,
    /// Making an account or a registration.
    Register,
    /// Checking a certificate by its code.
    CertificateCheck,
    /// Files and tables to take away.
    Export,
    /// Phones sending acts from the field.
    Field,
}

/// Who is counted.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Key {
    /// One address; of IPv6 the first 64 bits, which one household shares.
    Address(IpAddr),
    /// One account, wherever it asks from.
    Account(AccountId),
}

type Counter = DefaultKeyedRateLimiter<Key>;

/// The counters of one process, shared by its workers.
pub struct Limits {
    page: Counter,
    sign_in: Counter,
    register: Counter,
    certificate_check: Counter,
    export: Counter,
    field: Counter,
    asked: AtomicU32,
}

/// After so many requests, addresses that have rested are forgotten.
const TIDY_EVERY: u32 = 4096;

impl Limits {
    /// Counters that start full.
    #[must_use]
    pub fn new(rates: &Rates) -> Self {
        Self {
            page: counter(rates.page),
            sign_in: counter(rates.sign_in),
            register: counter(rates.register),
            certificate_check: counter(rates.certificate_check),
            export: counter(rates.export),
            field: counter(rates.field),
            asked: AtomicU32::new(0),
        }
    }

    /// Counts one request.
    ///
    /// # Errors
    /// The whole seconds, at least 1, after which the next one would be let in.
    pub fn ask(&self, limit: Limit, key: Key) -> Result<(), u64> {
        let Some(counter) = self.counter(limit) else {
            return Ok(());
        };
        if self.asked.fetch_add(1, Ordering::Relaxed) % TIDY_EVERY == TIDY_EVERY - 1 {
            counter.retain_recent();
        }
        counter.check_key(&key).map_err(|early| early.wait_time_from(DefaultClock::default().now()).as_secs() + 1)
    }

    fn counter(&self, limit: Limit) -> Option<&Counter> {
        match limit {
            Limit::Free => None,
            Limit::Page => Some(&self.page),
            Limit::SignIn => Some(&self.sign_in),
            Limit::Register => Some(&self.register),
            Limit::CertificateCheck => Some(&self.certificate_check),
            Limit::Export => Some(&self.export),
            Limit::Field => Some(&self.field),
        }
    }
}

fn counter(rate: Rate) -> Counter {
    let number = |count: u32| NonZeroU32::new(count).unwrap_or(NonZeroU32::MIN);
    RateLimiter::keyed(Quota::per_minute(number(rate.per_minute)).allow_burst(number(rate.burst)))
}

/// The address that asks. Machines that are not trusted cannot speak for another address.
#[must_use]
pub fn address_of(request: &HttpRequest, trusted: &[Network]) -> IpAddr {
    let peer = request.peer_addr().map_or(IpAddr::V6(Ipv6Addr::UNSPECIFIED), |peer| peer.ip());
    let forwarded: Vec<&str> =
        request.headers().get_all("x-forwarded-for").filter_map(|value| value.to_str().ok()).collect();
    believed(peer.to_canonical(), &forwarded.join(","), trusted)
}

/// Walks from the nearest machine outwards for as long as each one is trusted.
fn believed(peer: IpAddr, forwarded: &str, trusted: &[Network]) -> IpAddr {
    let is_trusted = |address: IpAddr| trusted.iter().any(|network| network.holds(address));
    let mut nearest = peer;
    for told in forwarded.rsplit(',') {
        if !is_trusted(nearest) {
            break;
        }
        let Ok(address) = told.trim().parse::<IpAddr>() else {
            break;
        };
        nearest = address.to_canonical();
    }
    nearest
}

/// What is counted for an address.
#[must_use]
pub fn address_key(address: IpAddr) -> Key {
    match address {
        IpAddr::V4(_) => Key::Address(address),
        IpAddr::V6(long) => Key::Address(IpAddr::V6(Ipv6Addr::from_bits(long.to_bits() >> 64 << 64))),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const SMALL: Rate = Rate { per_minute: 1, burst: 3 };

    fn limits() -> Limits {
        let big = Rate { per_minute: 1000, burst: 1000 };
        Limits::new(&Rates {
            page: big,
            sign_in: SMALL,
            register: big,
            certificate_check: SMALL,
            export: big,
            field: big,
        })
    }

    #[test]
    fn s41_after_the_burst_one_address_waits_and_another_does_not() {
        let limits = limits();
        let busy = address_key("203.0.113.7".parse().unwrap());
        let calm = address_key("203.0.113.8".parse().unwrap());
        for _ in 0..3 {
            assert_eq!(limits.ask(Limit::SignIn, busy), Ok(()));
        }
        let wait = limits.ask(Limit::SignIn, busy).unwrap_err();
        assert!((1..=61).contains(&wait), "{wait}");
        assert_eq!(limits.ask(Limit::SignIn, calm), Ok(()));
        assert_eq!(limits.ask(Limit::CertificateCheck, busy), Ok(()));
        assert_eq!(limits.ask(Limit::Free, busy), Ok(()));
    }

    #[test]
    fn s41_one_household_of_ipv6_is_one_address() {
        let key = |text: &str| address_key(text.parse().unwrap());
        assert_eq!(key("2001:db8:1:2::1"), key("2001:db8:1:2:ffff::9"));
        assert_ne!(key("2001:db8:1:2::1"), key("2001:db8:1:3::1"));
    }

    #[test]
    fn s60_a_forwarded_address_is_believed_from_trusted_proxies_only() {
        let ip = |text: &str| text.parse::<IpAddr>().unwrap();
        let trusted = ["10.0.0.0/8".parse::<Network>().unwrap()];
        let stranger = ip("203.0.113.7");
        assert_eq!(believed(stranger, "198.51.100.1", &trusted), stranger);
        assert_eq!(believed(ip("10.0.0.1"), "198.51.100.1", &[]), ip("10.0.0.1"));
        assert_eq!(believed(ip("10.0.0.1"), "198.51.100.1", &trusted), ip("198.51.100.1"));
        assert_eq!(believed(ip("10.0.0.1"), "1.2.3.4, 203.0.113.7, 10.0.0.2", &trusted), stranger);
        assert_eq!(believed(ip("10.0.0.1"), "rubbish", &trusted), ip("10.0.0.1"));
        assert_eq!(believed(ip("10.0.0.1"), "", &trusted), ip("10.0.0.1"));
    }
}
