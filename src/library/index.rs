//! The index: passages in tantivy, in memory, with title and headings apart from the body, and what ranking needs beside it.

use std::collections::HashMap;

use tantivy::schema::{FAST, Field, IndexRecordOption, NumericOptions, Schema, TextFieldIndexing, TextOptions};
use tantivy::tokenizer::{PreTokenizedString, Token};
use tantivy::{Index as Tantivy, IndexReader, IndexWriter, ReloadPolicy, TantivyDocument};

use super::language::{English, Weight};
use super::lexer::{Word, parts, words};
use super::lexicon::Lexicon;
use super::page::Kind;
use super::passage::{Form, Passage};
use super::words::Term;
use crate::engine::Engine;

/// The least tantivy takes for a writer.
const WRITER_BYTES: usize = 15_000_000;

/// A name an engine goes by, as stems, and the page it stands on.
pub(super) struct EngineName {
    pub stems: Vec<String>,
    pub page: String,
    /// A layout alone, such as `v8` or `straight six`: there are others of it outside the shelf.
    pub layout: bool,
}

/// Everything that answers questions; immutable once built.
pub(super) struct Index {
    pub english: English,
    pub lexicon: Lexicon,
    pub fields: Fields,
    pub reader: IndexReader,
    pub docs: Vec<Doc>,
    /// All the tokens of each page, sorted.
    pub pages: HashMap<String, Vec<u32>>,
    pub engine_names: Vec<EngineName>,
    /// Each token's number, and in how many passages it stands.
    tokens: HashMap<String, (u32, u32)>,
}

#[derive(Clone, Copy)]
pub(super) struct Fields {
    pub ordinal: Field,
    pub title: Field,
    pub head: Field,
    pub body: Field,
}

/// What ranking asks of a passage besides tantivy's score.
pub(super) struct Doc {
    /// All its tokens' numbers, sorted.
    pub tokens: Vec<u32>,
    /// Those of title, headings and lead, sorted.
    pub heads: Vec<u32>,
    /// Stems in reading order, stop words left out, to see which stand side by side.
    pub run: Vec<u32>,
    pub page: String,
    /// One number for all passages of a section.
    pub section: u32,
    pub kind: Kind,
    pub form: Form,
    /// A row or rule that answers "how much".
    pub has_size: bool,
    /// What stands under the page's title alone.
    pub opens: bool,
    /// Its headings promise a way round: which way up, which way it faces.
    pub directs: bool,
    /// Its heading promises what to do when something is not right.
    pub remedies: bool,
}

/// The tokens of a text: stems and the concepts they name, each at its place.
pub(super) struct Tokens {
    pub tokens: Vec<(String, usize)>,
    /// The stems alone, in order, one a place.
    pub run: Vec<String>,
}

impl Index {
    /// Builds the index of a shelf's passages. `engines` are (page slug, engine).
    pub fn build(passages: &[&Passage], terms: &[&Term], engines: &[(&str, &Engine)]) -> tantivy::Result<Self> {
        let mut english = English::new();
        let mut lexicon = Lexicon::default();
        for passage in passages {
            lexicon.learn(&mut english, &passage.title);
            passage.path.iter().for_each(|heading| lexicon.learn(&mut english, heading));
            lexicon.learn(&mut english, &passage.lead);
            lexicon.learn(&mut english, &passage.body);
        }
        for (concept, term) in (0..).zip(terms) {
            lexicon.name(&mut english, concept, term.names());
        }
        let mut engine_names = Vec::new();
        for (page, engine) in engines {
            let also = engine.also.iter().map(String::as_str);
            for name in [engine.id.as_str(), engine.title.as_str()].into_iter().chain(also) {
                lexicon.learn(&mut english, name);
                let words = parts(name);
                let layout = words.iter().all(|word| is_layout(&word.text));
                let stems = words.iter().map(|word| english.stem(&word.text)).collect::<Vec<_>>();
                engine_names.push(EngineName { stems, page: (*page).to_owned(), layout });
            }
        }
        engine_names.retain(|name| !name.stems.is_empty());
        lexicon.settle(&mut english);

        let (schema, fields) = schema();
        let tantivy = Tantivy::create_in_ram(schema);
        let mut writer: IndexWriter = tantivy.writer_with_num_threads(1, WRITER_BYTES)?;
        let mut tokens: HashMap<String, (u32, u32)> = HashMap::new();
        let mut docs: Vec<Doc> = Vec::with_capacity(passages.len());
        let mut section = 0;
        let mut before: Option<&Passage> = None;
        for (ordinal, passage) in (0u64..).zip(passages) {
            let title = analyse(&mut english, &lexicon, &passage.title);
            let mut heading = format!("{} . {}", passage.path.join(" . "), passage.lead);
            // The page's title is the heading of its opening, and says what its steps are for.
            if passage.path.is_empty() || passage.form == Form::Steps {
                heading = format!("{} . {heading}", passage.title);
            }
            let head = analyse(&mut english, &lexicon, &heading);
            let body = analyse(&mut english, &lexicon, &passage.body);
            let mut number = |token: &String| {
                let next = tokens.len() as u32;
                tokens.entry(token.clone()).or_insert((next, 0)).0
            };
            let mut numbers = |texts: &[&Tokens]| {
                let all = texts.iter().flat_map(|t| &t.tokens).map(|(token, _)| number(token));
                let mut all: Vec<u32> = all.collect();
                all.sort_unstable();
                all.dedup();
                all
            };
            let heads = numbers(&[&title, &head]);
            let all = numbers(&[&title, &head, &body]);
            let run = title.run.iter().chain(&head.run).chain(&body.run).map(number).collect();
            if before.is_some_and(|b| (&b.reference.page, &b.path) != (&passage.reference.page, &passage.path)) {
                section += 1;
            }
            before = Some(passage);
            docs.push(Doc {
                section,
                tokens: all,
                heads,
                run,
                page: passage.reference.page.clone(),
                kind: passage.page_kind,
                form: passage.form,
                has_size: body.tokens.iter().any(|(token, _)| token.starts_with('#')),
                opens: passage.path.is_empty() && passage.form == Form::Section,
                directs: says_any(&format!("{} . {}", passage.title, passage.path.join(" . ")), DIRECTION),
                remedies: says_any(passage.heading(), TROUBLE),
            });
            let mut document = TantivyDocument::new();
            document.add_u64(fields.ordinal, ordinal);
            document.add_pre_tokenized_text(fields.title, stream(title));
            document.add_pre_tokenized_text(fields.head, stream(head));
            document.add_pre_tokenized_text(fields.body, stream(body));
            writer.add_document(document)?;
        }
        writer.commit()?;
        let mut often = vec![0u32; tokens.len()];
        docs.iter().flat_map(|doc| &doc.tokens).for_each(|t| often[*t as usize] += 1);
        tokens.values_mut().for_each(|(number, count)| *count = often[*number as usize]);
        let mut pages: HashMap<String, Vec<u32>> = HashMap::new();
        for doc in &docs {
            pages.entry(doc.page.clone()).or_default().extend(&doc.tokens);
        }
        for tokens in pages.values_mut() {
            tokens.sort_unstable();
            tokens.dedup();
        }
        let reader = tantivy.reader_builder().reload_policy(ReloadPolicy::Manual).try_into()?;
        Ok(Self { english, lexicon, fields, reader, docs, pages, engine_names, tokens })
    }

    pub fn token(&self, token: &str) -> Option<u32> {
        self.tokens.get(token).map(|(number, _)| *number)
    }

    /// In how many passages a token stands.
    pub fn frequency(&self, token: &str) -> u32 {
        self.tokens.get(token).map_or(0, |(_, count)| *count)
    }
}

/// True for a word that says how many cylinders an engine has or how they stand.
fn is_layout(word: &str) -> bool {
    const WORDS: [&str; 17] = [
        "v", "straight", "inline", "in", "line", "flat", "boxer", "cylinder", "two", "twin", "three", "four", "five",
        "six", "eight", "ten", "twelve",
    ];
    let number = |text: &str| !text.is_empty() && text.chars().all(|c| c.is_ascii_digit());
    WORDS.contains(&word) || number(word.trim_start_matches(['v', 'i', 'l', '#']))
}

/// Words of headings that promise a way round.
const DIRECTION: &[&str] = &["way", "orientation", "direction", "faces", "facing", "backwards", "upside"];
/// Words of headings that promise a remedy: `When it is not right`.
const TROUBLE: &[&str] = &["not right", "wrong", "trouble", "troubleshooting"];

/// True when one of the words, or runs of words, stands in the text.
fn says_any(text: &str, any: &[&str]) -> bool {
    let spelt: Vec<String> = parts(text).into_iter().map(|word| word.text).collect();
    let text = format!(" {} ", spelt.join(" "));
    any.iter().any(|words| text.contains(&format!(" {words} ")))
}

/// How a concept is written among the tokens.
pub(super) fn concept_token(concept: u32) -> String {
    format!("={concept}")
}

/// Words by place, each place with the stems it may be read as.
pub(super) fn places(english: &mut English, spelt: &[Word]) -> Vec<Vec<String>> {
    let mut out: Vec<Vec<String>> = Vec::new();
    for word in spelt {
        let stem = english.stem(&word.text);
        if out.len() <= word.place {
            out.resize(word.place + 1, Vec::new());
        }
        if let Some(place) = out.get_mut(word.place) {
            place.push(stem);
        }
    }
    out
}

fn analyse(english: &mut English, lexicon: &Lexicon, text: &str) -> Tokens {
    let spelt = words(text);
    let mut tokens = Vec::with_capacity(spelt.len());
    let mut run = Vec::with_capacity(spelt.len());
    let mut last = None;
    for word in &spelt {
        if english.weight(&word.text) == Weight::Stop {
            continue;
        }
        let stem = english.stem(&word.text);
        // Of several spellings at a place, the last is the part that its neighbours stand beside.
        if last == Some(word.place) {
            run.pop();
        }
        last = Some(word.place);
        run.push(stem.clone());
        tokens.push((stem, word.place));
    }
    for named in lexicon.named(&places(english, &spelt)) {
        tokens.push((concept_token(named.concept), named.from));
    }
    tokens.sort_by_key(|(_, place)| *place);
    tokens.dedup();
    Tokens { tokens, run }
}

fn stream(text: Tokens) -> PreTokenizedString {
    let tokens = text.tokens.into_iter();
    let tokens = tokens.map(|(text, position)| Token { text, position, ..Token::default() }).collect();
    PreTokenizedString { text: String::new(), tokens }
}

fn schema() -> (Schema, Fields) {
    let mut builder = Schema::builder();
    let indexing = TextFieldIndexing::default().set_index_option(IndexRecordOption::WithFreqs);
    let text = || TextOptions::default().set_indexing_options(indexing.clone());
    let fields = Fields {
        ordinal: builder.add_u64_field("ordinal", NumericOptions::default() | FAST),
        title: builder.add_text_field("title", text()),
        head: builder.add_text_field("head", text()),
        body: builder.add_text_field("body", text()),
    };
    (builder.build(), fields)
}
