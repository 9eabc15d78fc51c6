// Prints what Lighthouse, with the settings of its phone, finds on each address given: one line of JSON each.
import { launch } from "chrome-launcher";
import lighthouse from "lighthouse";

const chrome = await launch({ chromeFlags: ["--headless=new", "--no-sandbox", "--disable-gpu"] });
for (const url of process.argv.slice(2)) {
  const { lhr } = await lighthouse(url, {
    port: chrome.port,
    onlyCategories: ["performance", "accessibility", "best-practices"],
    disableFullPageScreenshot: true,
  });
  console.log(JSON.stringify({ runtimeError: lhr.runtimeError, categories: lhr.categories, audits: lhr.audits }));
}
chrome.kill();
