/** The package's version; a test holds it to package.json. */
export default '0.1.0';
