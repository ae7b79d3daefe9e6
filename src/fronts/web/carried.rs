//! What a phone carries for when the server cannot be reached: the shelf, and its person's part of the record.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};

use crate::desk::{Extract, Role};

#[cfg(not(feature = "shop"))]
/// The pages, by file name: they change seldom, so they travel by themselves.
pub type Pages = Vec<(String, String)>;

/// The rest of it, at one moment.
#[derive(Debug, Serialize, Deserialize)]
pub struct Carried {
    pub shop: String,
    pub demo: bool,
    pub own_acceptance: bool,
    pub people: BTreeMap<String, Role>,
    pub person: String,
    pub role: Role,
    /// How they like the page, as their cookie says it.
    pub taste: String,
    /// Names the pages as they are: under another name they have changed.
    pub pages: String,
    pub record: Extract,
}

#[cfg(feature = "shop")]
mod serving {
    use super::*;
    use axum::extract::State;
    use axum::http::header::{CONTENT_ENCODING, CONTENT_TYPE};
    use axum::response::{IntoResponse, Response};

    use crate::fronts::web::sent::Visitor;
    use crate::fronts::web::{Page, Shared, assets, frame, off_thread};

    /// The pages as one text, and its name.
    fn pages(page: &Page) -> anyhow::Result<(String, Vec<u8>)> {
        let text = serde_json::to_vec(&page.desk.pages()?)?;
        let name = blake3::hash(&text).to_hex().chars().take(16).collect();
        Ok((name, text))
    }

    fn carried(page: &Page, visitor: &Visitor) -> anyhow::Result<Vec<u8>> {
        let (settings, asker) = (page.desk.settings(), page.asker(visitor));
        let carried = Carried {
            shop: settings.shop.clone(),
            demo: settings.demo,
            own_acceptance: settings.own_acceptance,
            people: settings.people.clone(),
            person: visitor.name.clone(),
            role: page.desk.role(&asker),
            pages: pages(page)?.0,
            taste: visitor.taste.pair(&visitor.name),
            record: page.desk.extract(&asker)?,
        };
        Ok(serde_json::to_vec(&carried)?)
    }

    /// The record's part.
    pub async fn record(State(page): State<Shared>, visitor: Visitor) -> Response {
        answered(off_thread(&page, move |page| carried(page, &visitor)).await)
    }

    /// The shelf.
    pub async fn shelf(State(page): State<Shared>, _visitor: Visitor) -> Response {
        answered(off_thread(&page, |page| pages(page).map(|(_, text)| text)).await)
    }

    fn answered(made: Option<anyhow::Result<Vec<u8>>>) -> Response {
        let packed = made.map(|made| made.and_then(|text| Ok(assets::packed(&text)?)));
        match packed {
            Some(Ok(packed)) => {
                let headers = [(CONTENT_TYPE, "application/json"), (CONTENT_ENCODING, "gzip")];
                (headers, packed).into_response()
            }
            failed => {
                tracing::error!("what phones carry could not be put together: {:?}", failed.and_then(Result::err));
                frame::fault()
            }
        }
    }
}

#[cfg(feature = "shop")]
pub use serving::{record, shelf};
