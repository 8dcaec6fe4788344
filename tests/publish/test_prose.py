"""A page's words as blocks for paper."""

from almanac.publish.pages.prose import Block, prose

PAGE = """
<header><p>Away</p></header>
<main id="content">
<h1>Title</h1>
<p class="rule">Never  do
this.</p>
<nav><ul><li><a href="#a">On this page</a></li></ul></nav>
<section><h2>First</h2><h3>Part</h3><p>Some &lt;b&gt; text &amp; <a href="x">a link</a>.</p>
<p class="source">A book.</p>
<ul><li>One thing. <span class="source">A paper.</span></li><li>Another.</li></ul>
<dl><div><dt>Term</dt><dd>Value</dd><dd class="meaning">Meaning</dd></div>
<dt>Next</dt><dd>2</dd></dl>
<table><thead><tr><th>Head</th></tr></thead>
<tbody><tr><th>Row</th><td>1</td><td></td></tr><tr><th>Last</th><td>2</td></tr></tbody></table>
<svg><title>No words</title></svg><p></p></section>
</main>
<footer><p>Away</p></footer>
"""


def test_a_page_becomes_blocks_in_its_order() -> None:
    """Headings, texts, items, sources and rows; nothing of the ways around, nothing empty."""
    assert prose(PAGE) == (
        Block("rule", ("Never do this.",)),
        Block("heading", ("First",)),
        Block("subheading", ("Part",)),
        Block("text", ("Some <b> text & a link.",)),
        Block("source", ("A book.",)),
        Block("item", ("One thing.",)),
        Block("source", ("A paper.",)),
        Block("item", ("Another.",)),
        Block("row", ("Term", "Value", "Meaning")),
        Block("row", ("Next", "2")),
        Block("row", ("Row", "1")),
        Block("row", ("Last", "2")),
    )


def test_a_page_without_words_has_no_blocks() -> None:
    """An empty main part, or none, gives nothing."""
    assert prose("<main></main>") == ()
    assert prose("<p>No main part</p>") == ()
