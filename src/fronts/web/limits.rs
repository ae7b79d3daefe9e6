//! How much one may ask: requests by address and by device, wrong codes by address and in all.
//!
//! Each has a bucket that requests empty and time fills; an empty one says how long to wait. None of it holds for a page
//! that only this machine reaches.

use std::collections::HashMap;
use std::hash::Hash;
use std::net::IpAddr;
use std::sync::{Mutex, PoisonError};

use jiff::Timestamp;

/// A bucket's size, and the seconds until one more fits.
#[derive(Debug, Clone, Copy)]
struct Measure {
    size: f64,
    every: f64,
}

/// A phone asks as its owner types, and a bench's worth of readings comes at once when it is back in reach.
const BY_DEVICE: Measure = Measure { size: 300.0, every: 0.05 };
/// Several devices may share an address.
const BY_ADDRESS: Measure = Measure { size: 600.0, every: 0.02 };
const WRONG_BY_ADDRESS: Measure = Measure { size: 5.0, every: 60.0 };
/// With ten codes open this leaves a guesser one chance in a thousand million an hour.
const WRONG_IN_ALL: Measure = Measure { size: 30.0, every: 60.0 };
/// So many keys are remembered before full buckets are thrown away.
const REMEMBERED: usize = 4096;

/// No more for so many seconds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Wait(pub u64);

/// Every limit of a page.
pub struct Limits {
    device: Buckets<i64>,
    address: Buckets<IpAddr>,
    wrong_here: Buckets<IpAddr>,
    wrong: Buckets<()>,
}

impl Limits {
    pub fn new() -> Self {
        Self {
            device: Buckets::new(BY_DEVICE),
            address: Buckets::new(BY_ADDRESS),
            wrong_here: Buckets::new(WRONG_BY_ADDRESS),
            wrong: Buckets::new(WRONG_IN_ALL),
        }
    }

    pub fn device(&self, device: i64, now: Timestamp) -> Result<(), Wait> {
        self.device.take(device, now)
    }

    pub fn address(&self, address: IpAddr, now: Timestamp) -> Result<(), Wait> {
        self.address.take(address, now)
    }

    /// Before a code is looked at: counts it as wrong, so that a burst of guesses finds no gap.
    pub fn guess(&self, address: IpAddr, now: Timestamp) -> Result<(), Wait> {
        self.wrong_here.take(address, now)?;
        self.wrong.take((), now)
    }

    /// It was right after all.
    pub fn right(&self, address: IpAddr) {
        self.wrong_here.put_back(address);
        self.wrong.put_back(());
    }
}

struct Buckets<K> {
    measure: Measure,
    held: Mutex<HashMap<K, Bucket>>,
}

#[derive(Clone, Copy)]
struct Bucket {
    /// In seconds of filling.
    level: f64,
    at: Timestamp,
}

impl<K: Hash + Eq + Copy> Buckets<K> {
    fn new(measure: Measure) -> Self {
        Self { measure, held: Mutex::default() }
    }

    fn take(&self, key: K, now: Timestamp) -> Result<(), Wait> {
        let Measure { size, every } = self.measure;
        let filled = |bucket: &Bucket| {
            // A clock that is set back fills nothing.
            let passed = now.duration_since(bucket.at).as_secs_f64().max(0.0);
            (bucket.level + passed).min(size * every)
        };
        let mut held = self.held.lock().unwrap_or_else(PoisonError::into_inner);
        if held.len() >= REMEMBERED {
            held.retain(|_, bucket| filled(bucket) < size * every);
        }
        let bucket = held.entry(key).or_insert(Bucket { level: size * every, at: now });
        *bucket = Bucket { level: filled(bucket), at: now };
        if bucket.level < every {
            let seconds = (every - bucket.level).ceil().max(1.0);
            return Err(Wait(seconds as u64));
        }
        bucket.level -= every;
        Ok(())
    }

    fn put_back(&self, key: K) {
        let mut held = self.held.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some(bucket) = held.get_mut(&key) {
            let Measure { size, every } = self.measure;
            bucket.level = (bucket.level + every).min(size * every);
        }
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    fn at(second: i64) -> Timestamp {
        Timestamp::from_second(second).unwrap()
    }

    fn from(last: u8) -> IpAddr {
        IpAddr::from([10, 0, 0, last])
    }

    #[test]
    fn five_wrong_codes_and_then_one_a_minute() {
        let limits = Limits::new();
        for _ in 0..5 {
            limits.guess(from(1), at(0)).unwrap();
        }
        assert_eq!(limits.guess(from(1), at(20)), Err(Wait(40)));
        assert!(limits.guess(from(2), at(20)).is_ok(), "another phone is not made to wait");
        assert!(limits.guess(from(1), at(60)).is_ok());
        assert_eq!(limits.guess(from(1), at(60)), Err(Wait(60)));
    }

    #[test]
    fn right_codes_use_nothing_up() {
        let limits = Limits::new();
        for _ in 0..200 {
            limits.guess(from(1), at(0)).unwrap();
            limits.right(from(1));
        }
    }

    #[test]
    fn many_addresses_share_thirty_wrong_codes() {
        let limits = Limits::new();
        let taken = (0..=255).filter(|last| limits.guess(from(*last), at(0)).is_ok()).count();
        assert_eq!(taken, 30);
        assert_eq!(limits.guess(from(9), at(3)), Err(Wait(57)));
    }

    #[test]
    fn a_clock_set_back_fills_nothing_and_locks_nobody_out() {
        let limits = Limits::new();
        for _ in 0..5 {
            limits.guess(from(1), at(1000)).unwrap();
        }
        assert!(limits.guess(from(1), at(0)).is_err());
        assert!(limits.guess(from(1), at(61)).is_ok());
    }

    #[test]
    fn what_is_remembered_stays_bounded() {
        let buckets = Buckets::new(BY_DEVICE);
        for device in 0..20_000 {
            buckets.take(device, at(device)).unwrap();
        }
        assert!(buckets.held.lock().unwrap().len() <= REMEMBERED);
    }
}
