//! An outcome as one JSON object: a stable interface for scripts.

use serde_json::{Value, json};

use super::paint;
use crate::desk::Outcome;

/// `title`, `verdict`, `values`, `passages`, `covered`, `text`; or `refusal`; or `fault`.
pub fn outcome(outcome: &Outcome) -> Value {
    match outcome {
        Outcome::Reply(reply) => {
            let mut object = json!({
                "title": reply.title,
                "verdict": reply.verdict,
                "values": reply.values,
                "actions": reply.actions,
                "text": paint::outcome(outcome, 100),
            });
            if let (Some(covered), Some(map)) = (reply.covered, object.as_object_mut()) {
                map.insert("covered".to_owned(), json!(covered));
                map.insert("passages".to_owned(), json!(reply.passages));
            }
            object
        }
        Outcome::Refused(refusal) => json!({ "refusal": refusal }),
        Outcome::Fault(text) => json!({ "fault": text }),
    }
}
