//! The build sheet as an HTML document of its own: no script, nothing fetched, prints to A4 and Letter.

use maud::{DOCTYPE, Markup, PreEscaped, html};

use super::reply::{Verdict, letter};

/// Everything on the sheet, ready to print.
pub struct SheetPage {
    pub shop: String,
    pub demo: bool,
    pub title: String,
    pub subtitle: String,
    pub identity: Vec<(String, String)>,
    pub summary: String,
    pub lines: Vec<Line>,
    /// Where the limits came from.
    pub sources: Vec<String>,
    pub changes: Vec<String>,
    pub missing: Vec<String>,
    pub printed: String,
    pub seal: String,
}

/// One reading.
pub struct Line {
    pub what: String,
    pub value: String,
    /// The limits alone, where there is little room.
    pub brief: String,
    /// Each measure with its limit.
    pub limits: Vec<String>,
    pub verdict: Verdict,
    pub by: String,
    pub review: String,
    pub note: String,
}

const STYLE: &str = "
@page { margin: 16mm }
body { font: 10.5pt/1.4 Georgia, 'DejaVu Serif', serif; color: #16202a; max-width: 190mm; margin: 1.5rem auto; padding: 0 1rem }
h1 { font-size: 20pt; margin: 0 } h2 { font-size: 12.5pt; margin: 1.4em 0 .4em; border-bottom: .6pt solid #16202a }
header { border-bottom: 2.5pt solid #16202a; padding-bottom: .5em; margin-bottom: 1em }
.demo { border: 1.5pt dashed #8a1c1c; color: #8a1c1c; padding: .3em .7em; font-weight: bold }
dl { display: grid; grid-template-columns: max-content 1fr; gap: .15em 1.2em; margin: 0 } dt { color: #45525e } dd { margin: 0 }
table { border-collapse: collapse; width: 100%; font-size: 9pt } thead { display: table-header-group } tr { break-inside: avoid }
th { text-align: left; border-bottom: 1pt solid #16202a; padding: .25em .5em .25em 0 }
td { vertical-align: top; border-bottom: .4pt solid #aab3bb; padding: .3em .5em .3em 0 }
.mark { display: inline-block; min-width: 1.3em; text-align: center; border: 1pt solid currentColor; font-weight: bold }
.Within { color: #0d5c33; border-radius: 50% } .Marginal { color: #7a4a00 } .Out { color: #fff; background: #8a1c1c; border-color: #8a1c1c }
.sign { display: grid; grid-template-columns: 1fr 1fr; gap: 2em; margin-top: 2.6em } .sign div { border-top: .8pt solid #16202a; padding-top: .2em }
.sources { font-size: 9pt; color: #45525e }
footer { margin-top: 2em; font-size: 8pt; color: #45525e; overflow-wrap: anywhere }
";

/// The document.
pub fn html(page: &SheetPage) -> String {
    let body: Markup = html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                title { (page.title) ": " (page.subtitle) }
                style { (PreEscaped(STYLE)) }
            }
            body {
                header {
                    p { (page.shop) }
                    h1 { (page.title) }
                    p { (page.subtitle) }
                    @if page.demo { p.demo { "DEMO: an invented shop, an invented engine, invented readings." } }
                }
                dl { @for (label, value) in &page.identity { dt { (label) } dd { (value) } } }
                p { strong { (page.summary) "." } }
                h2 { "Readings" }
                (readings(page))
                @if !page.sources.is_empty() { p.sources { "Limits from " (page.sources.join("; ")) "." } }
                @if !page.changes.is_empty() {
                    h2 { "Amendments, and limits set for this job" }
                    ul { @for change in &page.changes { li { (change) } } }
                }
                @if !page.missing.is_empty() {
                    h2 { "Not measured" }
                    p { (page.missing.join(", ")) "." }
                }
                h2 { "First hours" }
                p {
                    "Prime the oil and see pressure before it fires. Boats: run the blower, smell the bilge, then start. Watch oil pressure "
                    "and temperature, vary the load, do not idle a flat-tappet cam. Change oil and filter early, check torques the maker asks for again. "
                    "The maker's manual, local codes and the responsible person decide."
                }
                div.sign { div { "Built by, date" } div { "Accepted by, date" } }
                footer { "Printed " (page.printed) " UTC. Seal of the record for this job: " (page.seal) }
            }
        }
    };
    body.into_string()
}

fn readings(page: &SheetPage) -> Markup {
    html! {
        table {
            thead { tr { th { "Check" } th { "Reading" } th { "Limit" } th { "Verdict" } th { "Posted" } th { "Review" } } }
            tbody {
                @for line in &page.lines {
                    tr {
                        td { (line.what) @if !line.note.is_empty() { br; small { (line.note) } } }
                        td { (line.value) }
                        td { @for limit in &line.limits { div { (limit) } } }
                        td { span class={ "mark " (format!("{:?}", line.verdict)) } { (letter(line.verdict)) } " " (line.verdict.as_str()) }
                        td { (line.by) }
                        td { (line.review) }
                    }
                }
            }
        }
    }
}
