//! The index: passages in tantivy, in memory, with title and headings apart from the body, and what ranking needs beside it.
//!
//! An index never changes. The next one is made from it and shares all that stayed as it was, so that an edit of one page
//! costs that page, the dictionaries' copying and no more, however many pages there are.

use std::collections::{BTreeSet, HashMap, HashSet};
use std::sync::Arc;

use tantivy::schema::{
    FAST, Field, INDEXED, IndexRecordOption, NumericOptions, Schema, TextFieldIndexing, TextOptions,
};
use tantivy::tokenizer::{PreTokenizedString, Token};
use tantivy::{Index as Tantivy, IndexWriter, ReloadPolicy, Searcher, TantivyDocument, Term as TantivyTerm};

use super::asked::Asked;
use super::bounds::Bounds;
use super::language::{English, Weight};
use super::leaf::Leaf;
use super::lexer::parts;
use super::lexicon::{Concept, Lexicon, ways};
use super::page::Kind;
use super::passage::Passage;
use super::reading::{Doc, Sheet, Tally, Tokens, sheet};
use super::sense::Senses;

/// The least tantivy takes for a writer.
const WRITER_BYTES: usize = 15_000_000;

/// A name an engine goes by, as stems, and the page it stands on.
#[derive(Clone)]
pub(super) struct EngineName {
    pub stems: Vec<String>,
    pub page: String,
    /// A layout alone, such as `v8` or `straight six`: there are others of it outside the shelf.
    pub layout: bool,
}

/// Everything that answers questions.
#[derive(Clone)]
pub(super) struct Index {
    pub english: English,
    pub lexicon: Lexicon,
    pub tally: Tally,
    pub engine_names: Vec<EngineName>,
    /// Where the shelf ends; pages that say so are in nothing else here.
    pub bounds: Arc<Bounds>,
    pub fields: Fields,
    /// Tantivy's index as it was when this one was made.
    pub searcher: Searcher,
    tantivy: Tantivy,
    /// Pages by number; a page that is gone leaves its number empty.
    sheets: Vec<Option<Arc<Sheet>>>,
    /// The number of each page, by slug.
    numbers: HashMap<String, usize>,
    /// The number of each term's concept, by its first name.
    concepts: HashMap<String, Concept>,
    /// Every name of a trade word, with its concept.
    names: BTreeSet<(String, Concept)>,
    senses: Senses,
    /// Names taken into the lexicon beside the pages.
    learnt: Vec<String>,
    /// What people ask, by the page that answers.
    asked: HashMap<String, Vec<Arc<Asked>>>,
    passages: usize,
}

#[derive(Clone, Copy)]
pub(super) struct Fields {
    /// Page and place of a passage in one number; see [`place`].
    pub place: Field,
    page: Field,
    pub title: Field,
    pub head: Field,
    pub body: Field,
    pub asked: Field,
}

/// Page number and place in the page, as `Fields::place` holds them.
pub(super) fn place(stored: u64) -> (usize, usize) {
    ((stored >> 32) as usize, (stored & u64::from(u32::MAX)) as usize)
}

impl Index {
    pub fn empty() -> tantivy::Result<Self> {
        let (schema, fields) = schema();
        let tantivy = Tantivy::create_in_ram(schema);
        let mut english = English::new();
        Ok(Self {
            lexicon: Lexicon::new(&mut english),
            english,
            tally: Tally::default(),
            engine_names: Vec::new(),
            bounds: Arc::default(),
            fields,
            searcher: searcher(&tantivy)?,
            tantivy,
            sheets: Vec::new(),
            numbers: HashMap::new(),
            concepts: HashMap::new(),
            names: BTreeSet::new(),
            senses: Senses::default(),
            learnt: Vec::new(),
            asked: HashMap::new(),
            passages: 0,
        })
    }

    /// The index of these pages, and how many of them had to be read into it. Call it on the newest index of a shelf only.
    /// `done` is told each page.
    pub fn next(&self, leaves: &[Arc<Leaf>], mut done: impl FnMut()) -> tantivy::Result<(Self, usize)> {
        let mut next = self.clone();
        let (beyond, leaves): (Vec<_>, Vec<_>) =
            leaves.iter().cloned().partition(|leaf| leaf.page.kind == Kind::Beyond);
        beyond.iter().for_each(|_| done());
        next.senses.next(self.sheets.is_empty());
        next.bounds = Bounds::next(&self.bounds, beyond, &mut next.english, &mut next.senses);
        let leaves = leaves.as_slice();
        let slugs: HashSet<&str> = leaves.iter().map(|leaf| leaf.page.slug.as_str()).collect();
        let mut stale: HashSet<usize> =
            next.numbers.iter().filter(|(slug, _)| !slugs.contains(slug.as_str())).map(|(_, number)| *number).collect();
        let mut fresh: Vec<(usize, &Arc<Leaf>)> = Vec::new();
        for leaf in leaves {
            let number = next.number(&leaf.page.slug);
            match next.sheets.get(number).and_then(Option::as_ref) {
                Some(sheet) if Arc::ptr_eq(&sheet.leaf, leaf) => continue,
                Some(_) => _ = stale.insert(number),
                None => {}
            }
            fresh.push((number, leaf));
        }
        for number in &stale {
            let Some(sheet) = &next.sheets[*number] else { continue };
            texts(&sheet.leaf).for_each(|text| next.lexicon.forget(&mut next.english, text));
        }
        for (_, leaf) in &fresh {
            texts(leaf).for_each(|text| next.lexicon.learn(&mut next.english, text));
        }
        let renamed = next.rename(leaves);
        let asked_anew = next.ask(leaves);
        // A page that holds a name which is new, or no more, or that other questions lead to, is read again.
        for leaf in leaves {
            let number = next.number(&leaf.page.slug);
            let Some(sheet) = next.sheets[number].as_ref().filter(|_| !stale.contains(&number)) else { continue };
            if asked_anew.contains(&leaf.page.slug) || renamed.iter().any(|way| next.may_hold(sheet, way)) {
                stale.insert(number);
                fresh.push((number, leaf));
            }
        }
        (0..leaves.len() - fresh.len()).for_each(|_| done());
        if stale.is_empty() && fresh.is_empty() {
            return Ok((next, 0));
        }

        let mut writer: IndexWriter = next.tantivy.writer_with_num_threads(1, WRITER_BYTES)?;
        for number in stale {
            writer.delete_term(TantivyTerm::from_field_u64(next.fields.page, number as u64));
            if let Some(sheet) = next.sheets[number].take() {
                next.tally.take(&sheet);
                next.passages -= sheet.docs.len();
            }
        }
        next.numbers.retain(|slug, _| slugs.contains(slug.as_str()));
        let (fields, count) = (next.fields, fresh.len());
        for (number, leaf) in fresh {
            let asked = next.asked.get(&leaf.page.slug).map_or(&[][..], Vec::as_slice);
            let sheet = sheet(
                &mut next.english,
                &next.lexicon,
                &mut next.tally,
                &mut next.senses,
                leaf,
                asked,
                |place, texts| {
                    let mut document = TantivyDocument::new();
                    document.add_u64(fields.place, (number as u64) << 32 | place as u64);
                    document.add_u64(fields.page, number as u64);
                    document.add_pre_tokenized_text(fields.title, stream(texts.title));
                    document.add_pre_tokenized_text(fields.head, stream(texts.head));
                    document.add_pre_tokenized_text(fields.body, stream(texts.body));
                    document.add_pre_tokenized_text(fields.asked, stream(texts.asked));
                    writer.add_document(document).map(|_| ())
                },
            )?;
            next.tally.add(&sheet);
            next.passages += sheet.docs.len();
            next.sheets[number] = Some(Arc::new(sheet));
            done();
        }
        writer.commit()?;
        writer.wait_merging_threads()?;
        next.searcher = searcher(&next.tantivy)?;
        Ok((next, count))
    }

    /// The number of a page; a new one for a new page.
    fn number(&mut self, slug: &str) -> usize {
        if let Some(number) = self.numbers.get(slug) {
            return *number;
        }
        let number = self.sheets.len();
        self.sheets.push(None);
        self.numbers.insert(slug.to_owned(), number);
        number
    }

    /// Takes in the names of trade words and engines, and gives those of trade words, as stems, that are new or no more.
    fn rename(&mut self, leaves: &[Arc<Leaf>]) -> Vec<Vec<String>> {
        let mut names = BTreeSet::new();
        let mut learnt = Vec::new();
        for term in leaves.iter().flat_map(|leaf| &leaf.terms) {
            let next = self.concepts.len() as Concept;
            let concept = *self.concepts.entry(term.term.to_lowercase()).or_insert(next);
            for name in term.names() {
                names.insert((name.to_owned(), concept));
                learnt.push(name.to_owned());
            }
        }
        self.engine_names.clear();
        for leaf in leaves {
            let Some(engine) = &leaf.engine else { continue };
            let also = engine.also.iter().map(String::as_str);
            for name in [engine.id.as_str(), engine.title.as_str()].into_iter().chain(also) {
                learnt.push(name.to_owned());
                let words = parts(name);
                let layout = words.iter().all(|word| is_layout(&word.text));
                let stems = words.iter().map(|word| self.english.stem(&word.text)).collect::<Vec<_>>();
                if !stems.is_empty() {
                    self.engine_names.push(EngineName { stems, page: leaf.page.slug.clone(), layout });
                }
            }
        }
        for name in std::mem::replace(&mut self.learnt, learnt) {
            self.lexicon.forget(&mut self.english, &name);
        }
        self.learnt.iter().for_each(|name| self.lexicon.learn(&mut self.english, name));
        let english = &mut self.english;
        let changed = names.symmetric_difference(&self.names).flat_map(|(name, _)| ways(english, name)).collect();
        let all = names.iter().flat_map(|(name, concept)| ways(english, name).into_iter().map(|way| (way, *concept)));
        self.lexicon.name(all.collect::<Vec<_>>());
        self.names = names;
        changed
    }

    /// Takes in what people ask, and gives the pages of which they ask otherwise than before.
    fn ask(&mut self, leaves: &[Arc<Leaf>]) -> HashSet<String> {
        let mut asked: HashMap<String, Vec<Arc<Asked>>> = HashMap::new();
        for (_, row) in leaves.iter().flat_map(|leaf| &leaf.asked) {
            asked.entry(row.page.clone()).or_default().push(Arc::clone(row));
        }
        let before = std::mem::replace(&mut self.asked, asked);
        let either = before.keys().chain(self.asked.keys());
        either.filter(|slug| before.get(*slug) != self.asked.get(*slug)).cloned().collect()
    }

    /// False when the page lacks a word of the name; stop words are in no page's tokens.
    fn may_hold(&self, sheet: &Sheet, way: &[String]) -> bool {
        let mut full = way.iter().filter(|stem| self.english.weight(stem) != Weight::Stop);
        full.all(|stem| self.tally.number(stem).is_some_and(|token| sheet.tokens.binary_search(&token).is_ok()))
    }

    /// A passage and its page.
    pub fn doc(&self, page: usize, place: usize) -> Option<(&Sheet, &Doc)> {
        let sheet = self.sheets.get(page)?.as_deref()?;
        Some((sheet, sheet.docs.get(place)?))
    }

    /// The passage itself.
    pub fn passage(&self, page: usize, place: usize) -> Option<&Passage> {
        self.sheets.get(page)?.as_ref()?.leaf.passages.get(place)
    }

    /// What the shelf says of a subject that it does not hold.
    pub fn beyond(&self, at: (usize, usize)) -> Option<&Passage> {
        self.bounds.passage(at)
    }

    /// True for the number of the page of that slug.
    pub fn is_page(&self, page: usize, slug: &str) -> bool {
        self.numbers.get(slug) == Some(&page)
    }

    /// Where the passages of a page are found.
    pub fn places(&self, slug: &str) -> impl Iterator<Item = (usize, usize)> {
        let page = self.numbers.get(slug).copied();
        let docs = page.and_then(|page| self.sheets.get(page)?.as_ref()).map_or(0, |sheet| sheet.docs.len());
        (0..docs).filter_map(move |place| Some((page?, place)))
    }

    /// BM25's inverse document frequency of a word in so many passages (Robertson and Sparck Jones, with one added so that
    /// it never falls below zero).
    pub fn rarity(&self, often: u32) -> f32 {
        let (all, often) = (self.passages as f32, often as f32);
        (1.0 + (all - often + 0.5) / (often + 0.5)).ln()
    }
}

/// The texts of a page whose words the lexicon knows.
fn texts(leaf: &Leaf) -> impl Iterator<Item = &str> {
    let passages = leaf.passages.iter().flat_map(|passage| {
        let path = passage.path.iter().map(String::as_str);
        path.chain([passage.title.as_str(), passage.lead.as_str(), passage.body.as_str()])
    });
    passages.chain(leaf.asked.iter().flat_map(|(_, asked)| asked.questions.iter().map(String::as_str)))
}

fn searcher(tantivy: &Tantivy) -> tantivy::Result<Searcher> {
    let reader: tantivy::IndexReader = tantivy.reader_builder().reload_policy(ReloadPolicy::Manual).try_into()?;
    Ok(reader.searcher())
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
        place: builder.add_u64_field("place", NumericOptions::default() | FAST),
        page: builder.add_u64_field("page", NumericOptions::default() | INDEXED),
        title: builder.add_text_field("title", text()),
        head: builder.add_text_field("head", text()),
        body: builder.add_text_field("body", text()),
        asked: builder.add_text_field("asked", text()),
    };
    (builder.build(), fields)
}
