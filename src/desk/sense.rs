//! The maths says which input broke which rule; here a person is told, with the slip of unit where one shows.

use super::trouble::{Refusal, Trouble};
use crate::maths::{Rule, Unfit};
use crate::quantity::{Dimension, System, Written, named_in, show, unit_for};

/// The inputs of a sum by name, as they were typed.
pub type Inputs<'a> = &'a [(&'a str, &'a Written)];

/// A refusal for what does not fit, naming the input and what would be right.
pub fn explain(unfit: Unfit, inputs: Inputs) -> Refusal {
    let written = at_fault(unfit, inputs);
    let possible = match unfit.rule {
        Rule::MustBeFinite => "It must be a number that can be measured.".to_owned(),
        Rule::MustBePositive => "It must be more than nothing.".to_owned(),
        Rule::MustNotBeNegative => "It cannot be less than nothing.".to_owned(),
        Rule::MustBeAbove { other } => format!("It must be more than the {other}."),
        Rule::MustNotExceed { other } => format!("It must not be more than the {other}."),
        Rule::OutsideRange { low, high, dimension } => outside(written, low, high, dimension),
        Rule::CountWanted { low, high, given } if low == high => format!("It takes {low} values; {given} came."),
        Rule::CountWanted { low, high, given } => format!("It takes {low} to {high} values; {given} came."),
        Rule::Missing => "It is needed for this sum.".to_owned(),
        Rule::KindWanted { wanted, given } => format!("It is {}, where {} is wanted.", given.one(), wanted.one()),
    };
    Refusal::new(shown(unfit.input), written.map_or("", |w| &w.text), possible)
}

/// What was typed for the input at fault: of a list the first value outside the range, none where their number is wrong.
fn at_fault<'a>(unfit: Unfit, inputs: Inputs<'a>) -> Option<&'a Written> {
    let mut same = inputs.iter().filter(|(name, _)| *name == unfit.input).map(|(_, written)| *written);
    let first = same.clone().next();
    match unfit.rule {
        Rule::CountWanted { .. } => None,
        Rule::OutsideRange { low, high, dimension } => {
            let shared = same.clone().next_back().and_then(|written| written.unit.as_deref());
            let out = |written: &&Written| {
                let unit = written.unit.as_deref().or(shared).and_then(|unit| unit_for(dimension, unit));
                unit.is_some_and(|unit| !(low..=high).contains(&(written.number * unit.factor + unit.offset)))
            };
            same.find(out).or(first)
        }
        _ => first,
    }
}

/// The maths' name for an input, as commands give it.
fn shown(input: &str) -> String {
    match input {
        "machined" => "nominal".to_owned(),
        "inside" => "id".to_owned(),
        "piston" => "skirt".to_owned(),
        "block height" => "block".to_owned(),
        "compression height" => "height".to_owned(),
        "bore temperature" => "bore-temp".to_owned(),
        "piston temperature" => "piston-temp".to_owned(),
        "piston size" => "piston".to_owned(),
        "ring temperature" => "ring-temp".to_owned(),
        "block temperature" => "block-temp".to_owned(),
        "sleeve temperature" => "sleeve-temp".to_owned(),
        "oversizes" | "undersizes" => "step".to_owned(),
        "low factor" => "factor".to_owned(),
        other => other.replace(' ', "-"),
    }
}

/// The believable range, and the same number in the unit that would fall inside it.
fn outside(written: Option<&Written>, low: f64, high: f64, dimension: Dimension) -> String {
    let range = show::range(dimension, Some(low), Some(high), System::Inch);
    let slip = written.and_then(|w| slip(w, low, high, dimension));
    match slip {
        Some(other) => format!("Did you mean {other}? Possible: {range}."),
        None => format!("Possible: {range}."),
    }
}

fn slip(written: &Written, low: f64, high: f64, dimension: Dimension) -> Option<String> {
    let others: &[&str] = match dimension {
        Dimension::Length => &["in", "mm", "thou"],
        Dimension::Volume => &["cc", "cu in"],
        Dimension::Temperature => &["°C", "°F"],
        _ => &[],
    };
    let typed = match &written.unit {
        Some(unit) => unit_for(dimension, unit),
        None => named_in(dimension, System::Inch),
    };
    others
        .iter()
        .filter_map(|symbol| unit_for(dimension, symbol))
        .filter(|unit| Some(*unit) != typed)
        .find(|unit| (low..=high).contains(&(written.number * unit.factor + unit.offset)))
        .map(|unit| format!("{} {}", show::number(written.number), unit.symbol))
}

/// A refusal under another input's name: of one value of a list, or where a command has its own word.
pub fn renamed(trouble: Trouble, input: &str) -> Trouble {
    match trouble {
        Trouble::Refused(refusal) => Refusal { input: input.to_owned(), ..refusal }.into(),
        fault => fault,
    }
}

/// Carries a fault of the maths to the person who typed the inputs.
pub trait OrRefuse<T> {
    /// The result, or a refusal that names the input.
    fn or_refuse(self, inputs: Inputs) -> Result<T, Trouble>;
}

impl<T> OrRefuse<T> for Result<T, Unfit> {
    fn or_refuse(self, inputs: Inputs) -> Result<T, Trouble> {
        self.map_err(|unfit| explain(unfit, inputs).into())
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use crate::maths::cylinders;
    use crate::quantity::{Given, Length, inches};

    #[test]
    fn a_slip_of_unit_is_named() {
        let given: Given<Length> = "4.03mm".parse().unwrap();
        let unfit = cylinders::displacement(given.value(None).unwrap(), inches(3.48), 8).unwrap_err();
        let refusal = explain(unfit, &[("bore", given.written())]);
        assert_eq!((refusal.input.as_str(), refusal.given.as_str()), ("bore", "4.03mm"));
        assert!(refusal.possible.starts_with("Did you mean 4.03 in?"), "{}", refusal.possible);
    }
}
