//! Two phones in the shop's network: a lead lets an apprentice in, who posts a reading, and is put out.

use gudgeon::desk::joining;
use jiff::Timestamp;

use super::rig::on_two_phones;

const LAST: &str = "#talk > .exchange:last-of-type";

#[test]
fn a_lead_lets_an_apprentice_in_and_out_again() {
    on_two_phones(async |lead, apprentice| {
        // The shop's machine made the first code, as `gudgeon people invite lead` does.
        let book = joining::book(lead.shop.data.path()).unwrap();
        let settled = gudgeon::config::Config::default().roles();
        let (code, _) = joining::invite(&settled, &book, "lead", None, Timestamp::now()).unwrap();
        lead.open(&format!("{}/door#{}", lead.origin(), code.text())).await;
        lead.wait("#code:valid").await;
        assert_eq!(lead.eval("return document.querySelector('#code').value").await, code.text());
        assert_eq!(lead.eval("return location.href").await, format!("{}/door", lead.origin()), "out of the address");
        lead.shot("join-code").await;
        lead.press(".join .primary").await;
        lead.wait("#talk").await;
        assert_eq!(lead.eval("return isSecureContext").await, true);
        assert_eq!(lead.eval("return document.cookie").await, "", "no script reads the key");

        lead.goto("/people").await;
        lead.fill("#person", "apprentice-2").await;
        lead.press(".join .primary").await;
        let code = lead.text(".handed .code").await;
        lead.wait(".handed svg").await;
        lead.shot("people-code").await;
        lead.goto("/people").await;
        assert!(!lead.text("main").await.contains(&code), "it is shown once");

        apprentice.goto("/").await;
        assert_eq!(apprentice.path().await, "/door");
        apprentice.fill("#code", &code.to_lowercase()).await;
        apprentice.fill("#device", "cracked phone").await;
        apprentice.press(".join .primary").await;
        apprentice.wait("#talk").await;
        apprentice.say("log main-journal 3 2.4495in 2.4493in job=1").await;
        assert!(apprentice.text(&format!("{LAST} .answer")).await.starts_with("Main journal 3"));
        apprentice.goto("/people").await;
        assert_eq!(apprentice.count("#person").await, 0, "only a lead lets people in");
        apprentice.shot("people-own").await;

        lead.goto("/people").await;
        let everyone = lead.text("main").await;
        assert!(everyone.contains("apprentice-2") && everyone.contains("cracked phone"), "{everyone}");
        lead.shot("people-everyone").await;
        apprentice.goto("/").await;
        lead.press("button[value='apprentice-2']").await;
        lead.wait_for("return !document.querySelector('main').innerText.includes('cracked phone')").await;

        // What is open there shows the door by itself, as does the next request.
        apprentice.wait_for("return location.pathname === '/door'").await;
        apprentice.goto("/").await;
        assert_eq!(apprentice.path().await, "/door", "out at the next request");
        apprentice.fill("#code", &code).await;
        apprentice.press(".join .primary").await;
        assert!(apprentice.text(".wrong").await.contains("opens once"));
        apprentice.shot("join-refused").await;
    });
}
