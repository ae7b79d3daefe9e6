//! How a person likes the page: dark or light, inch or metric first. It is kept on their phone, a cookie by person, so that
//! a tablet on the wall remembers each.

use axum::extract::State;
use axum::http::HeaderMap;
use axum::http::header::{COOKIE, SET_COOKIE};
use axum::response::{IntoResponse, Redirect, Response};
use maud::{Markup, html};

use super::Shared;
use super::frame::{self, View};
use super::sent::{Posted, Visitor};
use crate::quantity::System;

const YEAR: u32 = 365 * 24 * 3600;

/// What a person chose; what they did not choose follows the phone and the engine.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Taste {
    pub theme: Option<Theme>,
    pub units: Option<System>,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Theme {
    Light,
    Dark,
}

impl Theme {
    pub fn word(self) -> &'static str {
        match self {
            Self::Light => "light",
            Self::Dark => "dark",
        }
    }
}

impl Taste {
    /// What this person's cookie says.
    pub fn of(headers: &HeaderMap, person: &str) -> Self {
        let name = cookie_name(person);
        let pairs = headers.get_all(COOKIE).iter().filter_map(|value| value.to_str().ok());
        let mut pairs = pairs.flat_map(|value| value.split(';')).filter_map(|pair| pair.trim().split_once('='));
        let kept = pairs.find(|(known, _)| *known == name).map_or("", |(_, value)| value);
        let (theme, units) = kept.split_once('.').unwrap_or_default();
        Self::chosen(theme, units)
    }

    fn chosen(theme: &str, units: &str) -> Self {
        let theme = [Theme::Light, Theme::Dark].into_iter().find(|one| one.word() == theme);
        let units = [System::Inch, System::Metric].into_iter().find(|one| unit_word(*one) == units);
        Self { theme, units }
    }

    fn cookie(self, person: &str, secure: bool) -> String {
        let (theme, units) = (self.theme.map_or("", Theme::word), self.units.map_or("", unit_word));
        let (name, secure) = (cookie_name(person), if secure { "; Secure" } else { "" });
        format!("{name}={theme}.{units}; Path=/; Max-Age={YEAR}; HttpOnly; SameSite=Strict{secure}")
    }
}

/// A name in letters a cookie's name can hold.
fn cookie_name(person: &str) -> String {
    let letters: String = person.bytes().map(|b| format!("{b:02x}")).collect();
    format!("taste-{letters}")
}

fn unit_word(system: System) -> &'static str {
    match system {
        System::Inch => "inch",
        System::Metric => "metric",
    }
}

pub async fn show(State(page): State<Shared>, visitor: Visitor) -> Markup {
    let Taste { theme, units } = visitor.taste;
    let themes = [("", "As the phone"), ("light", "Light"), ("dark", "Dark")];
    let systems = [("", "As the engine"), ("inch", "Inch first"), ("metric", "Metric first")];
    let inside = html! {
        main.notice {
            h1 { "How you like it" }
            p { "Kept on this phone for " (visitor.name) ". Both units are always shown; this says which comes first." }
            form method="post" action="/taste" {
                (keys("theme", "Light or dark", &themes, theme.map_or("", Theme::word)))
                (keys("units", "Units", &systems, units.map_or("", unit_word)))
                p { button.primary { "Keep it so" } }
            }
        }
    };
    frame::screen(&page, &visitor, View::Notice, "How you like it", inside)
}

fn keys(name: &str, legend: &str, choices: &[(&str, &str)], chosen: &str) -> Markup {
    html! {
        fieldset.field {
            legend { (legend) }
            div.choices {
                @for (value, shown) in choices {
                    label.press {
                        input type="radio" name=(name) value=(value) checked[*value == chosen];
                        span { (shown) }
                    }
                }
            }
        }
    }
}

pub async fn keep(State(page): State<Shared>, visitor: Visitor, Posted(values): Posted) -> Response {
    let taste = Taste::chosen(values.one("theme"), values.one("units"));
    ([(SET_COOKIE, taste.cookie(&visitor.name, !page.door.trusting))], Redirect::to("/taste")).into_response()
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    #[test]
    fn each_person_has_a_taste_of_their_own() {
        let dark = Taste { theme: Some(Theme::Dark), units: Some(System::Metric) };
        let mut headers = HeaderMap::new();
        for (person, taste) in [("lead", dark), ("tech-1", Taste::default())] {
            let cookie = taste.cookie(person, false);
            headers.append(COOKIE, cookie.split(';').next().unwrap().parse().unwrap());
        }
        assert_eq!(Taste::of(&headers, "lead"), dark);
        assert_eq!(Taste::of(&headers, "tech-1"), Taste::default());
        assert_eq!(Taste::of(&headers, "apprentice-1"), Taste::default());
        headers.insert(COOKIE, format!("{}=<b>.inch", cookie_name("lead")).parse().unwrap());
        assert_eq!(Taste::of(&headers, "lead"), Taste { theme: None, units: Some(System::Inch) });
    }
}
