//! What texts mean that are known beforehand: what the shelf that comes along is asked, its headings, what lies beyond it. To read
//! sixteen thousand texts takes the network a minute, to look them up takes nothing.

use std::sync::LazyLock;

use safetensors::SafeTensors;

use super::{DIMS, Sense};

const KNOWN: &[u8] = include_bytes!("known.safetensors");

/// Names in the file: a number made of the text for each, and what it means.
const KEYS: &str = "texts";
const SENSES: &str = "senses";

/// Of a file that does not read nothing is known; a test holds it.
static FILE: LazyLock<File> = LazyLock::new(|| File::read().unwrap_or_default());

/// The file as it lies: the texts' numbers in rising order, and at the same places what they mean.
#[derive(Default)]
struct File {
    keys: &'static [[u8; 8]],
    senses: &'static [[u8; DIMS]],
}

impl File {
    fn read() -> Option<Self> {
        let file = SafeTensors::deserialize(KNOWN).ok()?;
        let data = |name: &str| Some(file.tensor(name).ok()?.data());
        Some(Self { keys: data(KEYS)?.as_chunks().0, senses: data(SENSES)?.as_chunks().0 })
    }
}

/// A number for a text: the first of its hash.
pub(super) fn key(text: &str) -> u64 {
    let hash = blake3::hash(text.as_bytes());
    hash.as_bytes().iter().take(8).fold(0, |key, byte| key << 8 | u64::from(*byte))
}

pub(super) fn sense(key: u64) -> Option<Sense> {
    let at = FILE.keys.binary_search_by_key(&key, |bytes| u64::from_le_bytes(*bytes)).ok()?;
    FILE.senses.get(at).map(|bytes| Sense(bytes.map(u8::cast_signed)))
}

#[cfg(test)]
mod tests {
    use std::path::Path;

    use safetensors::SafeTensorError;
    use safetensors::tensor::{Dtype, TensorView};

    use super::super::super::{embedded_files, leaf, reading::titled};
    use super::*;

    /// Every text of the shelf whose sense the search asks for.
    fn texts() -> Vec<String> {
        let leaves = embedded_files().filter_map(|(name, text)| leaf::read(name, text).0);
        let mut all: Vec<String> = leaves
            .flat_map(|leaf| {
                let titles = leaf.passages.iter().map(titled);
                let asked = leaf.asked.iter().flat_map(|(_, asked)| asked.questions.clone());
                let beyond = leaf.beyond.iter().flat_map(|subject| subject.questions.clone());
                titles.chain(asked).chain(beyond).collect::<Vec<_>>()
            })
            .collect();
        all.sort_unstable();
        all.dedup();
        all
    }

    /// The file that makes these texts known; the senses of those known are taken over.
    fn file(texts: &[String]) -> Result<Vec<u8>, SafeTensorError> {
        let anew = std::env::var("KNOWN").is_ok_and(|how| how == "anew");
        let known = |key| sense(key).filter(|_| !anew);
        let mut all: Vec<(u64, Sense)> =
            texts.iter().map(|text| (key(text), known(key(text)).unwrap_or_else(|| Sense::worked_out(text)))).collect();
        all.sort_unstable_by_key(|(key, _)| *key);
        let keys: Vec<u8> = all.iter().flat_map(|(key, _)| key.to_le_bytes()).collect();
        let senses: Vec<u8> = all.iter().flat_map(|(_, sense)| sense.0.map(i8::cast_unsigned)).collect();
        let keys = TensorView::new(Dtype::U64, vec![all.len()], &keys)?;
        let senses = TensorView::new(Dtype::I8, vec![all.len(), DIMS], &senses)?;
        safetensors::serialize([(KEYS, keys), (SENSES, senses)], None)
    }

    /// `KNOWN=write` adds what is new and takes out what is no more, `KNOWN=anew` is for another network.
    #[test]
    fn all_that_the_shelf_is_asked_is_known_and_nothing_else() -> anyhow::Result<()> {
        let texts = texts();
        if std::env::var("KNOWN").is_ok() {
            let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("src/library/sense/known.safetensors");
            return Ok(std::fs::write(path, file(&texts)?)?);
        }
        let unknown: Vec<&String> = texts.iter().filter(|text| sense(key(text)).is_none()).collect();
        assert!(unknown.is_empty(), "run this test with KNOWN=write: {unknown:#?}");
        assert_eq!(FILE.keys.len(), texts.len(), "run this test with KNOWN=write: some are asked no more");
        Ok(())
    }

    #[test]
    fn what_is_known_is_what_the_network_says() {
        for text in texts().iter().step_by(200) {
            let known = sense(key(text)).unwrap_or_default();
            let anew = Sense::worked_out(text);
            // Another processor may round the last digit otherwise.
            let off = known.0.iter().zip(anew.0).map(|(a, b)| a.abs_diff(b)).max();
            assert!(off <= Some(1), "run this test with KNOWN=anew: {text}, {off:?}");
        }
    }
}
