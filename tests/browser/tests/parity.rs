//! Native and browser evaluations of the same documents agree, bit for bit.

use anyhow::{Context, Result, ensure};
use browser::{Browser, Probe};
use serde_json::json;

const DOCUMENTS: u64 = 1000;
const FEWER_DOCUMENTS: u64 = 100;
/// Sent to the page together: one question for each document would take most of the time.
const TOGETHER: usize = 20;

#[tokio::test]
async fn a_thousand_documents_pose_alike_here_and_in_the_browser() -> Result<()> {
    documents_pose_alike(Browser::Chromium, DOCUMENTS).await
}

#[tokio::test]
async fn a_hundred_documents_pose_alike_here_and_in_firefox() -> Result<()> {
    documents_pose_alike(Browser::Firefox, FEWER_DOCUMENTS).await
}

#[tokio::test]
async fn a_hundred_documents_pose_alike_here_and_in_webkit() -> Result<()> {
    documents_pose_alike(Browser::WebKit, FEWER_DOCUMENTS).await
}

async fn documents_pose_alike(browser: Browser, documents: u64) -> Result<()> {
    let probe = Probe::start_in(browser).await?;
    let seeds: Vec<u64> = (0..documents).collect();
    let (mut nodes, mut anchors, mut turned) = (0, 0, 0);
    for batch in seeds.chunks(TOGETHER) {
        let files: Vec<String> = batch
            .iter()
            .map(|seed| rig::write(&testkit::random_document(*seed)))
            .collect();
        let answer = probe
            .ask(&format!("{}.map((file) => probe.pose(file))", json!(files)))
            .await?;
        let theirs: Vec<String> = serde_json::from_value(answer)?;
        ensure!(theirs.len() == batch.len());
        for ((seed, file), theirs) in batch.iter().zip(&files).zip(theirs) {
            let document = hand::read(file).with_context(|| format!("document {seed}"))?;
            let posed = rig::Posed::new(&document).with_context(|| format!("document {seed}"))?;
            let ours = rig::report::pose_json(&posed);
            if let Some(at) = ours.bytes().zip(theirs.bytes()).position(|(a, b)| a != b) {
                let around = at.saturating_sub(80)..(at + 40).min(ours.len());
                anyhow::bail!("document {seed} differs at byte {at}: {}", &ours[around]);
            }
            ensure!(
                ours.len() == theirs.len(),
                "document {seed}: one answer is cut short"
            );
            nodes += document.nodes.len();
            anchors += document.anchors.len();
            turned += document
                .dials
                .iter()
                .zip(&document.setting.dials)
                .filter(|(dial, value)| **value != dial.neutral)
                .count();
        }
    }
    // Agreement on next to nothing would prove nothing.
    ensure!(
        nodes as u64 > 10 * documents && anchors as u64 > documents && turned as u64 > documents,
        "{nodes} nodes, {anchors} anchors and {turned} turned dials are too few"
    );
    println!(
        "{documents} documents, {nodes} nodes, {anchors} anchors, {turned} turned dials: alike"
    );
    Ok(())
}

const SEQUENCES: u32 = 1000;
const EDITS: usize = 12;

/// Each side makes the same random edits of the same document, refusals included.
#[tokio::test]
async fn a_thousand_sequences_of_edits_end_alike_here_and_in_the_browser() -> Result<()> {
    let probe = Probe::start_in(Browser::Chromium).await?;
    let seeds: Vec<u32> = (0..SEQUENCES).collect();
    let mut made = 0;
    for batch in seeds.chunks(TOGETHER) {
        let files: Vec<(u32, String)> = batch
            .iter()
            .map(|&seed| (seed, rig::write(&testkit::random_document(seed.into()))))
            .collect();
        let answer = probe
            .ask(&format!(
                "{}.map(([seed, file]) => probe.poseEdited(file, seed, {EDITS}))",
                json!(files)
            ))
            .await?;
        let theirs: Vec<String> = serde_json::from_value(answer)?;
        ensure!(theirs.len() == batch.len());
        for ((seed, file), theirs) in files.iter().zip(theirs) {
            let document = hand::read(file).with_context(|| format!("document {seed}"))?;
            let (document, count) = testkit::edited(&document, u64::from(*seed), EDITS);
            let posed = rig::Posed::new(&document).with_context(|| format!("document {seed}"))?;
            ensure!(
                rig::report::pose_json(&posed) == theirs,
                "sequence {seed} of {count} edits ends otherwise"
            );
            made += count;
        }
    }
    ensure!(
        made > 5 * SEQUENCES as usize,
        "{made} edits made are too few to prove anything"
    );
    println!("{SEQUENCES} sequences, {made} edits made: alike");
    Ok(())
}

const PRESSES: u64 = 1000;

/// Each side builds the hand from its recipe too. What one refuses the other does, in the same words.
#[tokio::test]
async fn a_thousand_presses_are_built_and_posed_alike_here_and_in_the_browser() -> Result<()> {
    let probe = Probe::start_in(Browser::Chromium).await?;
    let seeds: Vec<u64> = (0..PRESSES).collect();
    let (mut posed, mut planted, mut off) = (0, 0, 0);
    for batch in seeds.chunks(TOGETHER) {
        let files: Vec<String> = batch
            .iter()
            .map(|seed| testkit::random_press(*seed))
            .collect();
        let answer = probe
            .ask(&format!(
                "{}.map((file) => {{ try {{ return probe.pose(file) }} catch (why) {{ return String(why) }} }})",
                json!(files)
            ))
            .await?;
        let theirs: Vec<String> = serde_json::from_value(answer)?;
        ensure!(theirs.len() == batch.len());
        for ((seed, file), theirs) in batch.iter().zip(&files).zip(theirs) {
            let ours = match hand::read(file) {
                Ok(document) => {
                    let pose =
                        rig::Posed::new(&document).with_context(|| format!("press {seed}"))?;
                    posed += 1;
                    planted += document.plants.len();
                    off += document
                        .plants
                        .iter()
                        .filter(|plant| pose.slip(plant.node).is_some_and(|slip| slip > 0.1))
                        .count();
                    rig::report::pose_json(&pose)
                }
                Err(fault) => fault.to_string(),
            };
            ensure!(ours == theirs, "press {seed} differs: {file}");
        }
    }
    // Agreement on refusals, or on hands that hold without trying, would prove little.
    ensure!(
        posed > 700 && planted > 1500 && off > 300,
        "{posed} posed, {planted} plants, {off} of them off"
    );
    println!("{PRESSES} presses, {posed} posed, {planted} plants, {off} of them off: alike");
    Ok(())
}

#[tokio::test]
async fn a_bad_document_gets_the_same_sentence_in_both() -> Result<()> {
    let probe = Probe::start_in(Browser::Chromium).await?;
    for text in [
        "",
        "{\"format\": \"handstand/9\"}",
        "{\"format\": \"handstand/1\", \"nodes\": [{\"name\": \"a\"}]}",
        "[1, 2",
    ] {
        let said = probe
            .ask(&format!(
                "(() => {{ try {{ return 'posed: ' + probe.pose({}) }} catch (why) {{ return String(why) }} }})()",
                json!(text)
            ))
            .await?;
        let ours = hand::read(text).expect_err("this file is bad").to_string();
        ensure!(said == json!(ours), "{text}: {said} is not {ours}");
    }
    Ok(())
}
