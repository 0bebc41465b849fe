// The file by which a platform knows what is in a package.

/** @typedef {import("./packed.js").Standard} Standard */
/** @typedef {{ id: string, title: string, idea: string, key: string, files: string[] }} Content `key`: a UUID */

/** @param {string} text  any, control characters left out, which XML 1.0 cannot hold */
const escaped = (text) =>
  text
    // eslint-disable-next-line no-control-regex
    .replace(/[\u0000-\u0008\u000b\u000c\u000e-\u001f\ufffe\uffff]/g, "")
    .replaceAll("&", "&amp;")
    .replaceAll("<", "&lt;")
    .replaceAll(">", "&gt;")
    .replaceAll('"', "&quot;");

const HEAD = '<?xml version="1.0" encoding="UTF-8"?>\n';
/** @param {string} path */
const href = (path) => escaped(path.split("/").map(encodeURIComponent).join("/"));
/** @param {string[]} files */
const list = (files) => files.map((file) => `      <file href="${href(file)}"/>\n`).join("");

/**
 * What the editions of SCORM have in common: one organization with one item, which is the page.
 * @param {Content} c
 * @param {{ version: string, schema: string, spaces: [string, string][], type: string, inItem?: string, inOrganization?: string }} edition
 */
const scorm = (c, { version, schema, spaces, type, inItem = "", inOrganization = "" }) => `${HEAD}<manifest identifier="bledsteam-${c.key}" version="${version}"
${spaces.map(([name, uri]) => `  ${name}="${uri}"`).join("\n")}>
  <metadata>
    <schema>ADL SCORM</schema>
    <schemaversion>${schema}</schemaversion>
  </metadata>
  <organizations default="organization">
    <organization identifier="organization">
      <title>${escaped(c.title)}</title>
      <item identifier="item" identifierref="resource">
        <title>${escaped(c.title)}</title>
${inItem}      </item>
${inOrganization}    </organization>
  </organizations>
  <resources>
    <resource identifier="resource" type="webcontent" adlcp:${type}="sco" href="index.html">
${list(c.files)}    </resource>
  </resources>
</manifest>
`;

/** No mastery score: the exercise itself says whether it is passed, and a platform would say otherwise. @param {Content} c */
const scorm12 = (c) =>
  scorm(c, {
    version: "1.0",
    schema: "1.2",
    spaces: [
      ["xmlns", "http://www.imsproject.org/xsd/imscp_rootv1p1p2"],
      ["xmlns:adlcp", "http://www.adlnet.org/xsd/adlcp_rootv1p2"],
    ],
    type: "scormtype",
  });

/** @param {Content} c */
const scorm2004 = (c) =>
  scorm(c, {
    version: "1",
    schema: "2004 4th Edition",
    spaces: [
      ["xmlns", "http://www.imsglobal.org/xsd/imscp_v1p1"],
      ["xmlns:adlcp", "http://www.adlnet.org/xsd/adlcp_v1p3"],
      ["xmlns:imsss", "http://www.imsglobal.org/xsd/imsss"],
    ],
    type: "scormType",
    inItem: `        <imsss:sequencing>
          <imsss:deliveryControls completionSetByContent="true" objectiveSetByContent="true"/>
        </imsss:sequencing>
`,
    inOrganization: `      <imsss:sequencing>
        <imsss:controlMode choice="true" flow="true"/>
      </imsss:sequencing>
`,
  });

/** @param {Content} c */
const cmi5 = (c) => {
  const said = (/** @type {string} */ text) => `<langstring lang="en-US">${escaped(text)}</langstring>`;
  return `${HEAD}<courseStructure xmlns="https://w3id.org/xapi/profiles/cmi5/v1/CourseStructure.xsd">
  <course id="urn:uuid:${c.key}">
    <title>${said(c.title)}</title>
    <description>${said(c.idea)}</description>
  </course>
  <au id="urn:uuid:${c.key}#exercise" moveOn="CompletedAndPassed" launchMethod="AnyWindow">
    <title>${said(c.title)}</title>
    <description>${said(c.idea)}</description>
    <url>index.html</url>
  </au>
</courseStructure>
`;
};

/** Name and text of the file. @type {Record<Standard, { name: string, text: (content: Content) => string }>} */
export const MANIFESTS = {
  scorm12: { name: "imsmanifest.xml", text: scorm12 },
  scorm2004: { name: "imsmanifest.xml", text: scorm2004 },
  cmi5: { name: "cmi5.xml", text: cmi5 },
};
