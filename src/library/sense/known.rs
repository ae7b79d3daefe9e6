//! What texts mean that are known beforehand: what the shelf that comes along says and is asked, its headings, what lies beyond it. To
//! read eighteen thousand texts takes the network minutes, to look them up takes nothing.

use std::sync::LazyLock;

use safetensors::SafeTensors;

use super::wording::{Piece, Wording};
use super::{DIMS, Sense};

const KNOWN: &[u8] = include_bytes!("known.safetensors");

/// Names in the file: a number made of the text for each question and heading, and what it means; the same for each passage, where
/// its pieces end among all, and these.
const TEXTS: &str = "texts";
const SENSES: &str = "senses";
const PASSAGES: &str = "passages";
const ENDS: &str = "ends";
const PIECES: &str = "pieces";

/// Of a file that does not read nothing is known; a test holds it.
static FILE: LazyLock<File> = LazyLock::new(|| File::read().unwrap_or_default());

/// The file as it lies: the texts' numbers in rising order, and at the same places what they mean.
#[derive(Default)]
struct File {
    texts: &'static [[u8; 8]],
    senses: &'static [[u8; DIMS]],
    passages: &'static [[u8; 8]],
    ends: &'static [[u8; 4]],
    pieces: &'static [Piece],
}

impl File {
    fn read() -> Option<Self> {
        let file = SafeTensors::deserialize(KNOWN).ok()?;
        let data = |name: &str| Some(file.tensor(name).ok()?.data());
        Some(Self {
            texts: data(TEXTS)?.as_chunks().0,
            senses: data(SENSES)?.as_chunks().0,
            passages: data(PASSAGES)?.as_chunks().0,
            ends: data(ENDS)?.as_chunks().0,
            pieces: data(PIECES)?.as_chunks().0,
        })
    }
}

/// A number for a text: the first of its hash.
pub(super) fn key(text: &str) -> u64 {
    let hash = blake3::hash(text.as_bytes());
    hash.as_bytes().iter().take(8).fold(0, |key, byte| key << 8 | u64::from(*byte))
}

pub(super) fn sense(key: u64) -> Option<Sense> {
    FILE.senses.get(place(FILE.texts, key)?).map(|bytes| Sense(bytes.map(u8::cast_signed)))
}

pub(super) fn wording(key: u64) -> Option<Wording> {
    let at = place(FILE.passages, key)?;
    let end = |at: usize| FILE.ends.get(at).map(|bytes| u32::from_le_bytes(*bytes) as usize);
    let from = at.checked_sub(1).map_or(Some(0), end)?;
    FILE.pieces.get(from..end(at)?).map(Wording::known)
}

fn place(keys: &[[u8; 8]], key: u64) -> Option<usize> {
    keys.binary_search_by_key(&key, |bytes| u64::from_le_bytes(*bytes)).ok()
}

#[cfg(test)]
mod tests {
    use std::path::Path;
    use std::sync::Arc;

    use safetensors::SafeTensorError;
    use safetensors::tensor::{Dtype, TensorView};

    use super::super::super::{embedded_files, leaf, leaf::Leaf, reading};
    use super::super::{ASKED, AT_FIRST, read, wordpiece, worked_out};
    use super::*;

    fn leaves() -> impl Iterator<Item = Arc<Leaf>> {
        embedded_files().filter_map(|(name, text)| leaf::read(name, text).0)
    }

    /// Every question and heading of the shelf, and every passage, as the search asks for them.
    fn texts() -> (Vec<String>, Vec<String>) {
        let asked = leaves().flat_map(|leaf| {
            let titles = leaf.passages.iter().map(reading::titled);
            let asked = leaf.asked.iter().flat_map(|(_, asked)| asked.questions.clone());
            let beyond = leaf.beyond.iter().flat_map(|subject| subject.questions.clone());
            titles.chain(asked).chain(beyond).collect::<Vec<_>>()
        });
        let said = leaves().flat_map(|leaf| leaf.passages.iter().map(reading::whole).collect::<Vec<_>>());
        (each_once(asked), each_once(said))
    }

    /// In the order of their numbers.
    fn each_once(texts: impl Iterator<Item = String>) -> Vec<String> {
        let mut all: Vec<String> = texts.collect();
        all.sort_by_key(|text| key(text));
        all.dedup();
        all
    }

    fn worded(text: &str) -> Wording {
        worked_out(&wordpiece::pieces(text, wordpiece::LONGEST)).1
    }

    /// The file that makes these texts known; what is known of them already is taken over.
    fn file(asked: &[String], said: &[String]) -> Result<Vec<u8>, SafeTensorError> {
        let anew = std::env::var("KNOWN").is_ok_and(|how| how == "anew");
        let keys = |texts: &[String]| texts.iter().flat_map(|text| key(text).to_le_bytes()).collect::<Vec<u8>>();
        let sense = |text: &String| sense(key(text)).filter(|_| !anew).unwrap_or_else(|| read(text).0);
        let senses: Vec<u8> = asked.iter().flat_map(|text| sense(text).0.map(i8::cast_unsigned)).collect();
        let (mut ends, mut pieces): (Vec<u8>, Vec<Piece>) = (Vec::new(), Vec::new());
        for text in said {
            let wording = wording(key(text)).filter(|_| !anew).unwrap_or_else(|| worded(text));
            pieces.extend(wording.pieces());
            ends.extend((pieces.len() as u32).to_le_bytes());
        }
        let (texts, passages) = (keys(asked), keys(said));
        let tensors = [
            (TEXTS, TensorView::new(Dtype::U64, vec![asked.len()], &texts)?),
            (SENSES, TensorView::new(Dtype::I8, vec![asked.len(), DIMS], &senses)?),
            (PASSAGES, TensorView::new(Dtype::U64, vec![said.len()], &passages)?),
            (ENDS, TensorView::new(Dtype::U32, vec![said.len()], &ends)?),
            (PIECES, TensorView::new(Dtype::I8, vec![pieces.len(), size_of::<Piece>()], pieces.as_flattened())?),
        ];
        safetensors::serialize(tensors, None)
    }

    /// What is not known is read when the program starts, which may take no more than half of what is read at once; and what is
    /// no more is only in the way. `KNOWN=write` adds the new and takes out the old, `KNOWN=anew` is for another network.
    #[test]
    fn most_of_what_the_shelf_says_and_is_asked_is_known() -> anyhow::Result<()> {
        let (asked, said) = texts();
        if std::env::var("KNOWN").is_ok() {
            let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("src/library/sense/known.safetensors");
            return Ok(std::fs::write(path, file(&asked, &said)?)?);
        }
        let new_asked: Vec<&String> = asked.iter().filter(|text| sense(key(text)).is_none()).collect();
        let new_said: Vec<&String> = said.iter().filter(|text| wording(key(text)).is_none()).collect();
        let read =
            |texts: &[&String], most| texts.iter().map(|text| wordpiece::pieces(text, most).len()).sum::<usize>();
        let unread = read(&new_asked, ASKED) + read(&new_said, wordpiece::LONGEST);
        assert!(unread <= AT_FIRST / 2, "run this test with KNOWN=write: {new_asked:#?} {new_said:#?}");
        let new = new_asked.len() + new_said.len();
        let old = FILE.texts.len() + FILE.passages.len() - (asked.len() + said.len() - new);
        assert!(old <= said.len() / 4, "run this test with KNOWN=write: {old} are no more");
        Ok(())
    }

    #[test]
    fn what_is_known_is_what_the_network_says() {
        // Another processor may round the last digit otherwise.
        let same = |a: &[u8], b: &[u8]| a.iter().zip(b).all(|(a, b)| a.cast_signed().abs_diff(b.cast_signed()) <= 1);
        let (asked, said) = texts();
        for text in asked.iter().step_by(200) {
            let Some(known) = sense(key(text)) else { continue };
            let anew = read(text).0;
            assert!(same(&known.0.map(i8::cast_unsigned), &anew.0.map(i8::cast_unsigned)), "KNOWN=anew: {text}");
        }
        for text in said.iter().step_by(100) {
            let Some(known) = wording(key(text)) else { continue };
            let anew = worded(text);
            let (known, anew) = (known.pieces().as_flattened(), anew.pieces().as_flattened());
            assert!(known.len() == anew.len() && same(known, anew), "KNOWN=anew: {text}");
        }
    }
}
