//! A job's build sheet by its address: what the code printed on it opens. `/sheet/1` shows it, `/sheet/1.pdf` saves it.

use axum::extract::{Path, State};
use axum::http::StatusCode;
use axum::response::Response;
use jiff::Timestamp;

use super::sent::Visitor;
use super::{Shared, frame, kept, off_thread};
use crate::desk::Outcome;
use crate::desk::reply::Block;

/// The sheet as it stands now. Nothing is posted by opening it.
pub async fn show(State(page): State<Shared>, visitor: Visitor, Path(file): Path<String>) -> Response {
    let Some(line) = line_for(&file) else { return missing() };
    let asker = page.asker(&visitor);
    let outcome = off_thread(&page, move |page| page.desk.look(&asker, &line, Timestamp::now())).await;
    match outcome {
        Some(Outcome::Reply(reply)) => {
            let document = reply.blocks.into_iter().find_map(|block| match block {
                Block::Document(document) => Some(document),
                _ => None,
            });
            document.map_or_else(frame::fault, kept::opened)
        }
        Some(Outcome::Refused(_)) => missing(),
        Some(Outcome::Fault(_)) | None => frame::fault(),
    }
}

fn missing() -> Response {
    let why = "A sheet's address is its job's number, such as /sheet/1. `job list` in the talk shows which there are.";
    frame::notice(StatusCode::NOT_FOUND, "There is no such sheet", why)
}

/// `1.pdf` as the line that asks for it; none for what could say anything else.
fn line_for(file: &str) -> Option<String> {
    let (job, format) = file.split_once('.').unwrap_or((file, "html"));
    let job: u32 = job.parse().ok()?;
    format.chars().all(|c| c.is_ascii_lowercase()).then(|| format!("sheet {job} format={format}"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_address_says_nothing_but_a_job_and_a_format() {
        assert_eq!(line_for("1").as_deref(), Some("sheet 1 format=html"));
        assert_eq!(line_for("12.pdf").as_deref(), Some("sheet 12 format=pdf"));
        for bad in ["", "x", "1 format=csv", "1.pdf paper=a4", "-1", "1.", "1.p df"] {
            let line = line_for(bad);
            assert!(line.is_none() || line.as_deref() == Some("sheet 1 format="), "{bad}: {line:?}");
        }
    }
}
