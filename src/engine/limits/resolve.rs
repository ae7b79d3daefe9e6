//! Which row counts: the job's own override, else the engine's page, else a general table by duty.

use super::super::measures::{EVERYWHERE, Kind};
use super::super::model::Duty;
use super::Limit;

/// Where a limit came from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Source {
    /// The job's own, set by the lead.
    Override,
    EnginePage,
    /// A general table: for one duty, or for any.
    General(Option<Duty>),
}

/// The row that counts, and where it came from.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Resolved<'a> {
    pub limit: &'a Limit,
    pub source: Source,
}

/// The row for a measure at a part.
///
/// Sources in order: `overrides` (oldest first; the newest counts), `engine` rows, `general` rows whose page is for this `duty`
/// or for any. Within a source a row for the part comes before a row for everywhere; among general rows of the same
/// reach one for the duty comes before one for any; otherwise the first as written.
pub fn resolve<'a>(
    measure: &Kind,
    at: &str,
    duty: Duty,
    overrides: &'a [Limit],
    engine: &'a [Limit],
    general: impl IntoIterator<Item = (Option<Duty>, &'a Limit)>,
) -> Option<Resolved<'a>> {
    let same = |limit: &Limit| (limit.measure.name, limit.measure.dimension) == (measure.name, measure.dimension);
    let fits = |limit: &Limit| same(limit) && (limit.at == at || limit.at == EVERYWHERE);
    let reach = |limit: &Limit| u8::from(limit.at != at);

    let own = overrides.iter().rev().filter(|l| fits(l)).min_by_key(|l| reach(l));
    if let Some(limit) = own {
        return Some(Resolved { limit, source: Source::Override });
    }
    if let Some(limit) = engine.iter().filter(|l| fits(l)).min_by_key(|l| reach(l)) {
        return Some(Resolved { limit, source: Source::EnginePage });
    }
    general
        .into_iter()
        .filter(|(page, limit)| fits(limit) && page.is_none_or(|page| page == duty))
        .min_by_key(|(page, limit)| (reach(limit), u8::from(page.is_none())))
        .map(|(page, limit)| Resolved { limit, source: Source::General(page) })
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::expect_used)]
    use super::super::super::measures::kind;
    use super::super::Cells;
    use super::*;

    fn row(check: &str, at: &str, min: &str, page: &str) -> Limit {
        Limit::parse(Cells { check, at, min, max: "-", unit: "in", basis: "common practice" }, page, 1).unwrap()
    }

    #[test]
    fn the_order_is_override_engine_duty_any() {
        let own = [row("ring gap", "top", "0.024", "job"), row("ring gap", "top", "0.025", "job, later")];
        let engine = [row("ring gap", "top", "0.020", "engine"), row("squish", "-", "0.040", "engine")];
        let any = row("ring gap", "top", "0.0040 x bore", "any");
        let marine = row("ring gap", "top", "0.0050 x bore", "marine");
        let general = || [(None, &any), (Some(Duty::Marine), &marine)];
        let ask = |own, engine, duty| resolve(kind("ring gap").unwrap(), "top", duty, own, engine, general()).unwrap();

        let first = ask(&own, &engine, Duty::Marine);
        assert_eq!((first.limit.page.as_str(), first.source), ("job, later", Source::Override));
        assert_eq!(ask(&[], &engine, Duty::Marine).source, Source::EnginePage);
        let by_duty = ask(&[], &[], Duty::Marine);
        assert_eq!((by_duty.limit.page.as_str(), by_duty.source), ("marine", Source::General(Some(Duty::Marine))));
        assert_eq!(ask(&[], &[], Duty::Road).source, Source::General(None));
        assert!(resolve(kind("squish").unwrap(), "-", Duty::Road, &[], &[], general()).is_none());
    }

    #[test]
    fn a_row_for_the_part_comes_first_and_another_part_never_counts() {
        let rail = row("ring gap", "rail", "0.015", "any");
        let all = row("ring gap", "-", "0.0050 x bore", "marine");
        let general = || [(Some(Duty::Marine), &all), (None, &rail)];
        let ask = |at| {
            resolve(kind("ring gap").unwrap(), at, Duty::Marine, &[], &[], general()).map(|r| r.limit.page.as_str())
        };
        assert_eq!(ask("rail"), Some("any"));
        assert_eq!(ask("top"), Some("marine"));
        let only_rail = resolve(kind("ring gap").unwrap(), "top", Duty::Marine, &[], &[], [(None, &rail)]);
        assert!(only_rail.is_none());
    }
}
