"""Damaged copies: what a page, a PDF or a chat window leaves of a formula."""

from math import cos, exp, hypot, log, pi, sin, sinh

from .entry import BALL, field


def gyroid(x, y, z):
    return sin(x)*cos(y) + sin(y)*cos(z) + sin(z)*cos(x)


def copy(name, text, value, tags="", **more):
    field(name, more.pop("style", "mathml-copy"), text, value, tags, **more)


# The rendered text followed by its source, as encyclopaedia pages give it.
copy("e01-doubled-gyroid", "sin⁡xcos⁡y+sin⁡ycos⁡z+sin⁡zcos⁡x=0{\\displaystyle \\sin x\\cos y+\\sin y\\cos z+\\sin z\\cos x=0}", gyroid, "doubled,invisible-ops,glued")
copy("e02-doubled-spaced", "x 2 + y 2 + z 2 − 2 x y z = 1 {\\displaystyle x^{2}+y^{2}+z^{2}-2xyz=1}", lambda x, y, z: x*x + y*y + z*z - 2*x*y*z - 1, "doubled,lost-superscript,displaystyle")
copy("e03-doubled-lines", "x\n2\n+\ny\n2\n=\nz\n3\n{\\displaystyle x^{2}+y^{2}=z^{3}}", lambda x, y, z: x*x + y*y - z**3, "doubled,one-token-a-line,displaystyle")
copy("e04-doubled-fraction", "x2a2+y2b2=1{\\displaystyle {\\frac {x^{2}}{a^{2}}}+{\\frac {y^{2}}{b^{2}}}=1}", lambda x, y, z, a, b: x*x/(a*a) + y*y/(b*b) - 1, "doubled,lost-fraction,frac,free-var", vars={"a": 1.4, "b": 0.6})
copy("e05-doubled-root", "(x2+y2−R)2+z2=r2{\\displaystyle \\left({\\sqrt {x^{2}+y^{2}}}-R\\right)^{2}+z^{2}=r^{2}}", lambda x, y, z, R, r: (hypot(x, y) - R)**2 + z*z - r*r, "doubled,lost-root,free-var", vars={"R": 1.8, "r": 0.5})
copy("e06-doubled-plain", "sin x sin y = z sin x sin y = z", lambda x, y, z: sin(x)*sin(y) - z, "doubled", why="the same plain text twice", may_reject=True)
copy("e07-doubled-two-lines", "x² + y² = z³\nx² + y² = z³", lambda x, y, z: x*x + y*y - z**3, "doubled", why="the same line twice")
copy("e08-doubled-schwarz", "\n\n\n\ncos\n⁡\n(\nx\n)\n+\ncos\n⁡\n(\ny\n)\n+\ncos\n⁡\n(\nz\n)\n=\n0\n\n\n{\\displaystyle \\cos(x)+\\cos(y)+\\cos(z)=0\\ }\n\n", lambda x, y, z: cos(x) + cos(y) + cos(z), "doubled,one-token-a-line,invisible-ops")
# One token a line.
copy("e10-lines-gyroid", "sin\nx\ncos\ny\n+\nsin\ny\ncos\nz\n+\nsin\nz\ncos\nx\n=\n0", gyroid, "one-token-a-line")
copy("e11-lines-powers", "(\nx\n^2\n+\ny\n^2\n)\n^2\n=\nz\n", lambda x, y, z: (x*x + y*y)**2 - z, "one-token-a-line")
copy("e12-lines-lost", "x\n2\n+\ny\n2\n−\nz\n2\n=\n1", lambda x, y, z: x*x + y*y - z*z - 1, "one-token-a-line,lost-superscript", why="a number alone after a letter was its power")
# Invisible characters.
copy("e15-function-application", "sin\u2061(x)\u2062cos\u2061(y)=z", lambda x, y, z: sin(x)*cos(y) - z, "invisible-ops")
copy("e16-zero-width", "x^2\u200b + y\u200b^2 = \ufeffz", lambda x, y, z: x*x + y*y - z, "zero-width")
copy("e17-soft-hyphen", "x^2 + y\u00ad^2 + z^2 = 1", lambda x, y, z: x*x + y*y + z*z - 1, "soft-hyphen")
copy("e18-ltr-marks", "\u200ex² + y² = z\u200f", lambda x, y, z: x*x + y*y - z, "direction-marks")
copy("e19-invisible-plus", "x\u2062y\u2062z=1+\u2061x", lambda x, y, z: x*y*z - 1 - x, "invisible-ops")
copy("e20-word-joiner", "cos\u2060 x\u00a0+\u202fcos\u2007y = z", lambda x, y, z: cos(x) + cos(y) - z, "nbsp,word-joiner")
# HTML.
copy("e22-html-sup", "x<sup>2</sup> + y<sup>2</sup> - z<sup>4</sup> = 1", lambda x, y, z: x*x + y*y - z**4 - 1, "html-tags", style="html")
copy("e23-html-entities", "x&sup2; + y&sup2; &minus; z&sup3; = 0", lambda x, y, z: x*x + y*y - z**3, "html-entities", style="html")
copy("e24-html-numeric", "x&#178; &#8722; y&#xB2; = z", lambda x, y, z: x*x - y*y - z, "html-entities", style="html")
copy("e25-html-lt", "x^2 + y^2 &lt; 1 + z^2", lambda x, y, z: x*x + y*y - 1 - z*z, "html-entities,ineq", rel="<", style="html")
copy("e26-html-italic", "<i>x</i><sup>4</sup> + <i>y</i><sup>4</sup> + <i>z</i><sup>4</sup> = <i>a</i>", lambda x, y, z, a: x**4 + y**4 + z**4 - a, "html-tags,free-var", vars={"a": 1.5}, style="html")
copy("e27-html-paragraph", "<p>cos&nbsp;x&nbsp;+&nbsp;cos&nbsp;y&nbsp;+&nbsp;cos&nbsp;z&nbsp;=&nbsp;0</p>", lambda x, y, z: cos(x) + cos(y) + cos(z), "html-tags,html-entities", style="html")
copy("e28-html-br", "x^4 + y^4<br/>+ z^4 = 1<br>", lambda x, y, z: x**4 + y**4 + z**4 - 1, "html-tags,line-break", style="html")
copy("e29-html-greek", "sin(2&pi;x) + cos(2&pi;y) = z", lambda x, y, z: sin(2*pi*x) + cos(2*pi*y) - z, "html-entities,const-pi", style="html")
# Superscripts and spaces lost.
copy("e31-lost", "x2+y2+z2=1", lambda x, y, z: x*x + y*y + z*z - 1, "lost-superscript")
copy("e32-lost-product", "x2y2+y2z2+z2x2=xyz", lambda x, y, z: x*x*y*y + y*y*z*z + z*z*x*x - x*y*z, "lost-superscript")
copy("e33-lost-bracket", "(x2+y2+z2+3)2=16(x2+y2)", lambda x, y, z: (x*x + y*y + z*z + 3)**2 - 16*(x*x + y*y), "lost-superscript", why="a number after a closing bracket was its power")
copy("e34-lost-coef", "8x4−8x2+8y4−8y2+8z4−8z2+3=0", lambda x, y, z: 8*(x**4 + y**4 + z**4) - 8*(x*x + y*y + z*z) + 3, "lost-superscript,minus-sign")
copy("e35-glued", "sinxcosy+sinycosz+sinzcosx=0", gyroid, "glued")
copy("e36-glued-coef", "sin2xcosy+cos2ysinz=0.2", lambda x, y, z: sin(2*x)*cos(y) + cos(2*y)*sin(z) - 0.2, "glued,coef-arg",
     alt=[("squares", lambda x, y, z: sin(x)**2*cos(y) + cos(y)**2*sin(z) - 0.2)], convention="a number after a function name is in its argument")
copy("e37-glued-hyperbolic", "sinz=sinhxsinhy", lambda x, y, z: sin(z) - sinh(x)*sinh(y), "glued", why="sinh before sin")
copy("e38-glued-ln", "z=lncosx−lncosy", lambda x, y, z: z - log(cos(x)) + log(cos(y)), "glued,height", points=BALL)
copy("e39-lost-fn-power", "sin2(x) + cos2(y) = z", lambda x, y, z: sin(x)**2 + cos(y)**2 - z, "lost-superscript,fn-power", why="sin2(x) was sin squared")
# Wraps, fences, quotes, bullets, chat.
copy("e41-wrapped", "x^2 + y^2 + z^2\n    - 2xyz - 1\n    = 0", lambda x, y, z: x*x + y*y + z*z - 2*x*y*z - 1, "line-break", style="ascii")
copy("e42-wrapped-operator", "(x^2 + y^2 - 1)^2 +\n(y^2 + z^2 - 1)^2 +\n(z^2 + x^2 - 1)^2 = 0.4", lambda x, y, z: (x*x + y*y - 1)**2 + (y*y + z*z - 1)**2 + (z*z + x*x - 1)**2 - 0.4, "line-break", style="ascii")
copy("e43-fence", "```\nx^4 + y^4 + z^4 = 1\n```", lambda x, y, z: x**4 + y**4 + z**4 - 1, "code-fence", style="chat")
copy("e44-fence-language", "```python\nf = np.cos(x) + np.cos(y) + np.cos(z)\n```", lambda x, y, z: cos(x) + cos(y) + cos(z), "code-fence,prefix", rel="expr", style="chat")
copy("e45-backticks", "`x*x + y*y - z*z*z`", lambda x, y, z: x*x + y*y - z**3, "backticks", rel="expr", style="chat")
copy("e46-quoted-mail", "> x^2 + y^2 = z^2 - z^3", lambda x, y, z: x*x + y*y - z*z + z**3, "quote-mark", style="chat")
copy("e47-prompt", ">>> x**2 + np.sin(y) - z", lambda x, y, z: x*x + sin(y) - z, "prompt,prefix", rel="expr", style="chat")
copy("e48-equation-label", "Equation 4: x^2 + y^3 = z^4", lambda x, y, z: x*x + y**3 - z**4, "label", style="prose-ish")
copy("e49-named", "Gyroid: cos(x)sin(y) + cos(y)sin(z) + cos(z)sin(x) = 0", lambda x, y, z: cos(x)*sin(y) + cos(y)*sin(z) + cos(z)*sin(x), "label", style="prose-ish")
copy("e50-sentence", "The surface is given by x^2 + y^2 = z^3.", lambda x, y, z: x*x + y*y - z**3, "sentence,final-period", style="prose-ish", may_reject=True)
copy("e51-bullet", "• x³ + y³ + z³ = 1;", lambda x, y, z: x**3 + y**3 + z**3 - 1, "bullet,semicolon", style="prose-ish")
copy("e52-tabs-crlf", "x^2\t+ y^2\r\n\t= z\r\n", lambda x, y, z: x*x + y*y - z, "crlf,tabs", style="ascii")
copy("e53-number-in-front", "(7)  x^2 - y^2 = z^3", lambda x, y, z: x*x - y*y - z**3, "equation-number", style="ascii", may_reject=True, why="an equation number in front")
copy("e54-double-dollar-number", "$$e^{-x^2}+e^{-y^2}=z \\qquad\\qquad (1.2)$$", lambda x, y, z: exp(-x*x) + exp(-y*y) - z, "equation-number,tex-delims,unary-minus", style="tex")
copy("e55-escaped", "x\\^2 + y\\^2 = z \\* 2", lambda x, y, z: x*x + y*y - 2*z, "escaped-marks", style="chat", may_reject=True)
copy("e57-glued-letter", "xsiny+ysinz+zsinx=0.1", lambda x, y, z: x*sin(y) + y*sin(z) + z*sin(x) - 0.1, "glued", why="a letter glued to the next function")
copy("e58-glued-coef-letter", "3xcosy−2ysin(πz)=z2", lambda x, y, z: 3*x*cos(y) - 2*y*sin(pi*z) - z*z, "glued,lost-superscript,const-pi")
copy("e59-lost-root", "(√(x2+y2)−2)2+z2=1", lambda x, y, z: (hypot(x, y) - 2)**2 + z*z - 1, "lost-superscript,sqrt-sign")
copy("e60-caret-space", "x ^ 2 + y ^ { 2 } = z ^ ( 3 )", lambda x, y, z: x*x + y*y - z**3, "spaces", style="ascii")
copy("e61-superscript-lines", "x² +\ny²\n=\n2z\n(8)", lambda x, y, z: x*x + y*y - 2*z, "one-token-a-line,equation-number")
copy("e62-tex-in-html", "<math>x^4+y^4+z^4-x^2-y^2-z^2=0</math>", lambda x, y, z: x**4 + y**4 + z**4 - x*x - y*y - z*z, "html-tags", style="html")
copy("e63-alt-text", "{\\displaystyle z=x^{2}-y^{2}.\\,}", lambda x, y, z: z - x*x + y*y, "displaystyle,final-period,height", style="tex-displaystyle")
copy("e64-star-bold", "**x^2 + y^2 = z^4 - z^6**", lambda x, y, z: x*x + y*y - z**4 + z**6, "emphasis-marks", style="chat", may_reject=True)
copy("e65-dollar-fence", "```math\nx^2 y + y^2 z + z^2 x = 0\n```", lambda x, y, z: x*x*y + y*y*z + z*z*x, "code-fence,space-mul", style="chat")
