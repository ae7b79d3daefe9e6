//! The sheet on paper.

use super::{Check, Measure, PHOTOS_ACROSS, PaperFormat, Reading, Sheet, Stage, TO_SIGN, advice, words};
use crate::desk::Trouble;
use crate::desk::recorded::{day, moment};
use crate::desk::yardstick::mark;
use crate::drawing::paper::{self, Block, Cell, Column, Item, Paper, Photo, Row, Table};

/// The file.
pub fn document(sheet: &Sheet, format: PaperFormat) -> Result<Vec<u8>, Trouble> {
    let paper = Paper {
        format,
        title: format!("{}: {}", sheet.heading(), sheet.title),
        author: sheet.shop.clone(),
        foot: words::foot(sheet),
        made: sheet.printed,
        blocks: blocks(sheet),
    };
    paper::pdf(&paper).map_err(|error| Trouble::Fault(error.into()))
}

fn blocks(sheet: &Sheet) -> Vec<Block> {
    let mut all = vec![Block::Masthead {
        over: sheet.shop.clone(),
        title: sheet.heading(),
        under: sheet.title.clone(),
        beside: sheet.seal.drawn.clone(),
    }];
    if sheet.demo {
        all.push(Block::Banner(words::DEMO.to_owned()));
    }
    if !sheet.closed {
        all.push(Block::Banner(words::NOT_FINAL.to_owned()));
    }
    all.extend([Block::Heading("The engine".to_owned()), Block::Facts(sheet.identity.clone())]);
    all.push(Block::Heading("How it stands".to_owned()));
    all.push(Block::Text(format!("{}.", sheet.summary())));
    all.push(Block::Table(overview(sheet)));
    if !sheet.missing.is_empty() {
        all.push(Block::Caution { word: "Not measured".to_owned(), text: words::missing(sheet) });
    }
    for (heading, items) in [(words::CHANGES, words::changes(sheet)), (words::NOTES, words::notes(sheet))] {
        if !items.is_empty() {
            all.extend([Block::Heading(heading.to_owned()), Block::Bullets(items)]);
        }
    }
    all.extend([Block::Heading("Readings".to_owned()), Block::Small(words::LEGEND.to_owned())]);
    for stage in &sheet.stages {
        all.extend([Block::Subheading(stage.name.to_owned()), Block::Table(readings(sheet, stage))]);
    }
    if !sheet.instruments.is_empty() {
        all.extend([Block::Subheading(words::INSTRUMENTS.to_owned()), Block::Bullets(sheet.instruments.clone())]);
    }
    if !sheet.sources.is_empty() {
        all.push(Block::Small(words::sources(sheet)));
    }
    if !sheet.figures.is_empty() {
        all.extend([
            Block::Heading("Figures".to_owned()),
            Block::Figures { figures: sheet.figures.clone(), across: 3 },
        ]);
    }
    all.extend(photographs(sheet));
    all.extend(for_the_owner(sheet));
    all.extend([Block::Together(vec![
        Block::Heading("Accepted and signed".to_owned()),
        Block::Bullets(words::acceptances(sheet)),
        Block::ToSign(TO_SIGN.map(str::to_owned).to_vec()),
        Block::Heading("Seal of the record".to_owned()),
        Block::Text(words::seal(sheet)),
        Block::Exact(sheet.seal.hash.clone()),
    ])]);
    all
}

fn photographs(sheet: &Sheet) -> Vec<Block> {
    let (mut photos, mut undrawn) = (Vec::new(), Vec::new());
    for (photo, caption) in sheet.pictured() {
        match &photo.small {
            Some(small) => photos.push(Photo { small: small.clone(), caption }),
            None => undrawn.push(caption),
        }
    }
    if photos.is_empty() && undrawn.is_empty() {
        return Vec::new();
    }
    let heading = Block::Heading(words::PHOTOGRAPHS.to_owned());
    vec![heading, Block::Photos { photos, across: PHOTOS_ACROSS }, Block::Bullets(undrawn)]
}

fn for_the_owner(sheet: &Sheet) -> Vec<Block> {
    let mut all = vec![Block::Heading("Running in: for the owner".to_owned())];
    let advice = &sheet.advice;
    if let Some(caution) = &advice.caution {
        all.push(Block::Caution { word: "Caution".to_owned(), text: caution.clone() });
    }
    all.extend(advice.text.iter().cloned().map(Block::Text));
    all.push(Block::Steps(advice.steps.clone()));
    all.extend(advice.source.clone().map(|source| Block::Small(format!("{source}."))));
    all.push(Block::Text(advice::DECIDES.to_owned()));
    all
}

fn columns(all: &[(&str, f64)]) -> Vec<Column> {
    all.iter().map(|(head, share)| Column { head: (*head).to_owned(), share: *share }).collect()
}

fn overview(sheet: &Sheet) -> Table {
    let rows = sheet.stages.iter().map(|stage| {
        let texts = words::overview(sheet, stage);
        Row::Cells(texts.into_iter().map(|text| Item::Words(text).into()).collect())
    });
    Table { columns: columns(&words::OVERVIEW), rows: rows.collect() }
}

fn readings(sheet: &Sheet, stage: &Stage) -> Table {
    let mut rows = Vec::new();
    for check in &stage.checks {
        rows.push(Row::Section(words::check(check)));
        rows.extend(check.readings.iter().map(|reading| Row::Cells(cells(sheet, check, reading))));
    }
    Table {
        columns: columns(&[
            ("At", 0.09),
            ("Read", 0.15),
            ("Measure", 0.22),
            ("Limit", 0.19),
            ("Verdict", 0.10),
            ("Posted", 0.14),
            ("Lead", 0.11),
        ]),
        rows,
    }
}

fn cells(sheet: &Sheet, check: &Check, reading: &Reading) -> Vec<Cell> {
    let of = |item: &dyn Fn(&Measure) -> Item| Cell { items: reading.measures.iter().map(item).collect(), level: true };
    let verdicts = if reading.measures.is_empty() {
        Item::Verdict(mark(reading.verdict)).into()
    } else {
        of(&|m| Item::Verdict(mark(m.verdict)))
    };
    let posted = vec![Item::Words(words::posted(reading)), Item::Faint(moment(reading.when))];
    let review = match &reading.review {
        None => vec![Item::Strong("not accepted".to_owned())],
        Some(review) if review.accepted => {
            vec![Item::Words(format!("accepted, {}", review.by)), Item::Faint(day(review.when))]
        }
        Some(_) => vec![Item::Strong(reading.standing())],
    };
    vec![
        Item::Strong(words::place(reading)).into(),
        Item::Words(words::raw(sheet, check, reading)).into(),
        of(&|m| Item::Words(words::measure(sheet, m))),
        of(&|m| Item::Words(words::limit(sheet, m))),
        verdicts,
        posted.into(),
        review.into(),
    ]
}
