//! Letting people onto the page from the terminal: codes, devices, and putting someone out.

use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::io::IsTerminal as _;
use std::path::Path;

use jiff::Timestamp;

use crate::desk::Role;
use crate::desk::joining::{self, Code, Invitation, NotInvited};
use crate::drawing::qr;

/// Makes a code and says how it is used; the inner error is a refusal.
pub fn invite(
    data: &Path,
    settled: &BTreeMap<String, Role>,
    person: &str,
    role: Option<Role>,
    address: Option<&str>,
) -> anyhow::Result<Result<String, String>> {
    let book = joining::book(data)?;
    match joining::invite(settled, &book, person, role, Timestamp::now()) {
        Ok((code, invitation)) => Ok(Ok(handed(&code, &invitation, address)?)),
        Err(error @ (NotInvited::Book(_) | NotInvited::Chance(_))) => Err(error.into()),
        Err(refused) => Ok(Err(refused.to_string())),
    }
}

/// For the first lead of a shop in which no lead has a device yet: a code, so that someone can let the others in.
pub fn invite_first(
    data: &Path,
    settled: &BTreeMap<String, Role>,
    address: Option<&str>,
) -> anyhow::Result<Option<String>> {
    let book = joining::book(data)?;
    let everyone = joining::everyone(settled, &book)?;
    let is_lead = |person: &str| everyone.get(person) == Some(&Role::Lead);
    if book.devices(Timestamp::now())?.iter().any(|device| !device.local && is_lead(&device.person)) {
        return Ok(None);
    }
    let Some((lead, _)) = everyone.iter().find(|(_, role)| **role == Role::Lead) else { return Ok(None) };
    let (code, invitation) = joining::invite(settled, &book, lead, None, Timestamp::now())?;
    Ok(Some(handed(&code, &invitation, address)?))
}

/// The door's address for a phone's camera.
pub fn scan(address: &str) -> anyhow::Result<String> {
    Ok(qr::typed(&format!("{address}/door"))?)
}

fn handed(code: &Code, invitation: &Invitation, address: Option<&str>) -> anyhow::Result<String> {
    let mut out = String::new();
    if let Some(address) = address
        && std::io::stdout().is_terminal()
    {
        out.push_str(&qr::typed(&format!("{address}/door#{}", code.text()))?);
    }
    let place =
        address.map_or("the page's address, with /door behind it,".to_owned(), |address| format!("{address}/door"));
    writeln!(out, "Code for {}, {}: {}", invitation.person, invitation.role, code.spoken())?;
    writeln!(out, "It opens once, within 15 minutes: scan it, or open {place} on the phone and type it.")?;
    Ok(out)
}

/// Everyone with their devices, a line each.
pub fn list(data: &Path, settled: &BTreeMap<String, Role>) -> anyhow::Result<String> {
    let (book, now) = (joining::book(data)?, Timestamp::now());
    let (everyone, devices) = (joining::everyone(settled, &book)?, book.devices(now)?);
    let mut out = String::new();
    for (person, role) in &everyone {
        writeln!(out, "{person}, {role}")?;
        for device in devices.iter().filter(|device| device.person == *person && !device.local) {
            writeln!(out, "  device {}: {}, seen {:.0}", device.number, device.name, device.seen)?;
        }
    }
    for code in book.invitations(now)? {
        writeln!(out, "code open for {}, {}, until {:.0}", code.person, code.role, code.ends)?;
    }
    Ok(out)
}

/// Takes a person out, or one device of theirs; what was done, or why nothing was.
pub fn remove(data: &Path, person: &str, device: Option<i64>) -> anyhow::Result<Result<String, String>> {
    let book = joining::book(data)?;
    let Some(number) = device else {
        return Ok(match book.remove(person)? {
            true => Ok(format!("{person} is out, with every device and code; what they posted stays.")),
            false => Err(format!("{person} has no device and no code")),
        });
    };
    let theirs =
        book.devices(Timestamp::now())?.iter().any(|device| device.number == number && device.person == person);
    if !theirs {
        return Ok(Err(format!("{person} has no device {number}: `gudgeon people list` names them")));
    }
    book.remove_device(number)?;
    Ok(Ok(format!("Device {number} of {person} is out.")))
}
