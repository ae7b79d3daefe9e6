//! English as it is typed: which words carry no subject, and which carry little.

#[cfg(feature = "shop")]
pub(super) use super::english::{English, Weight};
use super::lexer::parts;

/// Words that say nothing about the subject: never searched. Contractions stand without their apostrophe.
pub(super) const STOP: &str = "a about ain also am an and any anyone anything are arent as at be because been being both but by can \
    cannot cant could couldnt d did didnt do does doesnt doing don dont each either else etc for from gonna gotta guys \
    had hadnt has hasnt have havent having he hello help her here hey hi him his how i id if ill im in into is isnt it \
    its itself ive just know let lets like ll m may maybe me might mine more most much must my near need needs no nor \
    not of ok okay on only or other our ours please pls re really s say says shall she should shouldnt so some somebody \
    someone something such t tell than thank thanks that thats the their them then there theres these they thing things \
    this those though thru thx to too u us ur ve very want wants was wasnt we well were werent what whats when wheres \
    where which while who whos whose why will with without wont wot would wouldnt yes yet you your yours youre";

/// Words that help to choose between passages, but never make a subject: direction, order, amount, plain doing.
pub(super) const LIGHT: &str = "above after again all allow allowable allowed always amount another apart around away back bad before below best \
    better between big bottom build close come comes correct correctly day different doing done down during easy end engine ever \
    every everything everywhere far fast few find figure first get gets getting give given go goes going good got hand happen happened happens hard harder \
    high hold how job keep \
    kind last left less limit limits little long lot low made make makes many matter matters max maximum mean meaning means min \
    minimum motor move never new next nice normal normally now number off often old once one open order ours out over part parts place possible \
    procedure put puts quick read really rebuild rebuilding rebuilds rebuilt recommend recommended right round rule safe safely safety same see sequence set shop show side sideways size \
    small soon spec specification specs start step steps still stop take takes thumb time times together tolerance tool top tried try \
    trying turn two type under up use used using usual value way ways wide work working works wrong write";

/// True for a text of stop words and light words alone: `When it is not right`.
pub(super) fn is_plain(text: &str) -> bool {
    let plain = |word: &str| STOP.split_whitespace().chain(LIGHT.split_whitespace()).any(|known| known == word);
    parts(text).iter().all(|word| plain(&word.text))
}
