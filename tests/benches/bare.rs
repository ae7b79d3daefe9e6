//! The same passages as anyone would index them: in plain tantivy, and in SQLite's full-text search. What ours is held against.

use anyhow::Result;
use gudgeon::library::Passage;
use rusqlite::Connection;
use tantivy::collector::TopDocs;
use tantivy::query::QueryParser;
use tantivy::schema::{FAST, Field, IndexRecordOption, Schema, TextFieldIndexing, TextOptions};
use tantivy::{Index, IndexReader, TantivyDocument};

/// Passages each engine is asked for.
pub const HITS: usize = 10;

/// The question's words, without what a query language would take for its own signs.
fn words(question: &str) -> impl Iterator<Item = &str> {
    question.split(|c: char| !c.is_alphanumeric()).filter(|word| !word.is_empty())
}

/// The passages as anyone would index them: title, heading and text with English stems, and the stock query parser.
pub struct PlainTantivy {
    reader: IndexReader,
    parser: QueryParser,
}

impl PlainTantivy {
    pub fn build(passages: &[&Passage]) -> Result<Self> {
        let mut schema = Schema::builder();
        let indexing = TextFieldIndexing::default()
            .set_tokenizer("en_stem")
            .set_index_option(IndexRecordOption::WithFreqsAndPositions);
        let text = TextOptions::default().set_indexing_options(indexing);
        let fields: Vec<Field> =
            ["title", "heading", "body"].iter().map(|name| schema.add_text_field(name, text.clone())).collect();
        let ordinal = schema.add_u64_field("ordinal", FAST);
        let index = Index::create_in_ram(schema.build());
        let mut writer: tantivy::IndexWriter = index.writer_with_num_threads(1, 15_000_000)?;
        for (number, passage) in (0..).zip(passages) {
            let mut document = TantivyDocument::new();
            document.add_u64(ordinal, number);
            for (field, text) in fields.iter().zip(columns(passage)) {
                document.add_text(*field, text);
            }
            writer.add_document(document)?;
        }
        writer.commit()?;
        writer.wait_merging_threads()?;
        Ok(Self { reader: index.reader()?, parser: QueryParser::for_index(&index, fields) })
    }

    /// Which passages, best first.
    pub fn ask(&self, question: &str) -> Result<Vec<u32>> {
        let query = self.parser.parse_query(&words(question).collect::<Vec<_>>().join(" "))?;
        let searcher = self.reader.searcher();
        let mut found = Vec::with_capacity(HITS);
        for (_, address) in searcher.search(&query, &TopDocs::with_limit(HITS).order_by_score())? {
            let ordinals = searcher.segment_reader(address.segment_ord).fast_fields().u64("ordinal")?;
            found.extend(ordinals.first(address.doc_id).and_then(|n| u32::try_from(n).ok()));
        }
        Ok(found)
    }
}

/// The passages in an FTS5 table in memory, ranked by its bm25.
pub struct FullText(Connection);

impl FullText {
    pub fn build(passages: &[&Passage]) -> Result<Self> {
        let conn = Connection::open_in_memory()?;
        conn.execute_batch(
            "CREATE VIRTUAL TABLE passage USING fts5(title, heading, body, tokenize = 'porter unicode61')",
        )?;
        let mut insert = conn.prepare("INSERT INTO passage (rowid, title, heading, body) VALUES (?, ?, ?, ?)")?;
        for (number, passage) in (0_u32..).zip(passages) {
            let [title, heading, body] = columns(passage);
            insert.execute((number, title, heading, body))?;
        }
        drop(insert);
        conn.execute_batch("INSERT INTO passage (passage) VALUES ('optimize')")?;
        Ok(Self(conn))
    }

    /// Which passages, best first.
    pub fn ask(&self, question: &str) -> Result<Vec<u32>> {
        let either = words(question).map(|word| format!("\"{word}\"")).collect::<Vec<_>>().join(" OR ");
        if either.is_empty() {
            return Ok(Vec::new());
        }
        let mut ask =
            self.0.prepare_cached("SELECT rowid FROM passage WHERE passage MATCH ? ORDER BY bm25(passage) LIMIT ?")?;
        let found = ask.query_map((either, HITS as i64), |row| row.get(0))?;
        Ok(found.collect::<Result<_, _>>()?)
    }
}

/// What both hold of a passage.
fn columns(passage: &Passage) -> [String; 3] {
    [passage.title.clone(), passage.path.join(" "), passage.text.clone()]
}
