// Lighthouse over pages of a browser that runs already, signed in and paired: its address and the pages come as
// JSON on the command line, one line of JSON for each page goes out.

import lighthouse from "lighthouse";

const { port, pages, categories } = JSON.parse(process.argv[2]);

/** What lost points, and on which parts of the page. */
function lost(report, category) {
  return report.categories[category].auditRefs
    .map(({ id, weight }) => ({ audit: report.audits[id], weight }))
    .filter(({ audit, weight }) => weight > 0 && audit.score !== null && audit.score < 1)
    .map(({ audit }) => `${audit.id} ${audit.displayValue ?? ""} ${(audit.details?.items ?? [])
      .slice(0, 3)
      .map((item) => item.node?.snippet ?? item.url ?? item.description ?? "")
      .join(" ")}`.trim());
}

const TRIES = 3;

/** A crowded machine now and then loses the very start of a recording; Lighthouse asks to be run again then. */
async function look(page, flags, tries = TRIES) {
  const { lhr } = await lighthouse(page, flags);
  return lhr.runtimeError?.code === "NO_NAVSTART" && tries > 1 ? look(page, flags, tries - 1) : lhr;
}

for (const page of pages) {
  // The storage stays: it is what makes the bench app a paired one.
  const flags = { port, onlyCategories: categories, disableStorageReset: true, logLevel: "error" };
  const lhr = await look(page, flags);
  if (lhr.runtimeError) throw new Error(`${page}: ${lhr.runtimeError.message}`);
  // Who is not signed in is led elsewhere.
  if (lhr.finalDisplayedUrl !== page) throw new Error(`${page} led to ${lhr.finalDisplayedUrl}`);
  const scores = Object.fromEntries(categories.map((name) => [name, Math.round(lhr.categories[name].score * 100)]));
  const why = Object.fromEntries(categories.map((name) => [name, lost(lhr, name)]));
  const machine = lhr.environment.benchmarkIndex;
  console.log(JSON.stringify({ page, scores, why, machine }));
}
