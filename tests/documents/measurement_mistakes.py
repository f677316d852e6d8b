"""Files of readings with one thing wrong, and what the sentence must say."""

HEAD = 'CGATS.17\nWEIGHTING_FUNCTION "ILLUMINANT, D65"\nWEIGHTING_FUNCTION "OBSERVER, 10 degree"\n'
FORMAT = "BEGIN_DATA_FORMAT\nSAMPLE_ID LAB_L LAB_A LAB_B\nEND_DATA_FORMAT\n"
TABLE = HEAD + FORMAT + "BEGIN_DATA\n1 50 0 0\n2 60 1 -1\nEND_DATA\n"
SPECTRA = (
    HEAD + "BEGIN_DATA_FORMAT\nSAMPLE_ID " + " ".join(f"NM_{nm}" for nm in range(400, 710, 10)) + "\nEND_DATA_FORMAT\n"
)
NUMBERS = " ".join(["0.5"] * 31)

CGATS = (
    (TABLE.replace("2 60 1 -1", "2 60 1"), "line 9 .2.: 3 cells, but there are 4 columns"),
    (TABLE.replace("2 60 1 -1", "2 60 x -1"), r"line 9 .2.: a\* is 'x'; a number is needed"),
    (TABLE.replace("2 60 1 -1", "2 600 1 -1"), r"line 9 .2.: L\* is 600; allowed is -1 to 131"),
    (TABLE.replace("2 60 1 -1", "2 6e300 1 -1"), r"line 9 .2.: L\* is 6e\+300"),
    (TABLE.replace("2 60 1 -1", "2 " + "6" * 5000 + " 1 -1"), r"line 9 .2.: L\* is '666.*a number is needed"),
    (TABLE.replace("2 60 1 -1", "2 nan 1 -1"), r"L\* is 'nan'; a number is needed"),
    (TABLE.replace("BEGIN_DATA\n", "NUMBER_OF_SETS 3\nBEGIN_DATA\n"), "NUMBER_OF_SETS is 3, but there are 2 rows"),
    (TABLE.replace("BEGIN_DATA\n", "NUMBER_OF_SETS many\nBEGIN_DATA\n"), "NUMBER_OF_SETS is 'many'; a whole number"),
    (TABLE.replace(FORMAT, "NUMBER_OF_FIELDS 5\n" + FORMAT), "NUMBER_OF_FIELDS is 5, but the format names 4"),
    (TABLE.replace("\nEND_DATA\n", "\n"), "line 7: the file ends within its data; END_DATA is missing"),
    (TABLE.replace("END_DATA_FORMAT\n", ""), "line 6: BEGIN_DATA stands inside the format"),
    (TABLE.replace("BEGIN_DATA\n", ""), "line 9: END_DATA closes what BEGIN_DATA has not opened"),
    (HEAD + FORMAT, "the file ends after the names of the fields; BEGIN_DATA is missing"),
    (HEAD + "BEGIN_DATA_FORMAT\nEND_DATA_FORMAT\nBEGIN_DATA\nEND_DATA\n", "line 4: the format names no field"),
    (HEAD + FORMAT + "BEGIN_DATA\nEND_DATA\n", "holds no reading"),
    (TABLE.replace("2 60", '"2 60'), "line 9: a text in quotes has no end"),
    (TABLE.replace("LAB_L LAB_A LAB_B", "RGB_R RGB_G RGB_B"), r"no column is L\*, a\*, b\*, X, Y, Z or a wavelength"),
    (TABLE.replace("LAB_L LAB_A LAB_B", "XYZ_X XYZ_Y XYZ_Z").replace(HEAD, "CGATS.17\n"), "X, Y, Z need their white"),
    (HEAD + 'WEIGHTING_FUNCTION "ILLUMINANT, D50"\n' + TABLE.removeprefix(HEAD), "two things about the illuminant"),
    (TABLE.replace("CGATS.17", "CTI1"), "CTI1 is a chart with the colours it should have"),
    (TABLE.replace("CGATS.17\n", 'CTI3\nDEVICE_CLASS "DISPLAY"\n'), "display readings; reflectance is needed"),
    (TABLE.replace("CGATS.17\n", 'SPECT\nMEAS_TYPE "EMISSION"\n'), "emission readings; reflectance is needed"),
    (TABLE.replace("CGATS.17", "SPECT"), "does not say that its spectrum is of a surface"),
    (SPECTRA + f"BEGIN_DATA\n1 {NUMBERS[:-3]}250\nEND_DATA\n", "the reflectance factor at 700 nm is 2.5; allowed"),
    (SPECTRA.replace("NM_450 ", "") + f"BEGIN_DATA\n1 {NUMBERS[4:]}\nEND_DATA\n", "460 nm follows 440 nm, but"),
    (SPECTRA.replace("NM_450 ", "NM_440 ") + f"BEGIN_DATA\n1 {NUMBERS}\nEND_DATA\n", "440 nm stands twice"),
    (SPECTRA + f"BEGIN_DATA\n1 {NUMBERS.replace('0.5', '1.5')}\nEND_DATA\n", "say which, 'percent' or 'factor'"),
    (SPECTRA + f"SPECTRAL_BANDS 30\nSPECTRAL_START_NM 400\nSPECTRAL_END_NM 700\nBEGIN_DATA\n1 {NUMBERS}\nEND_DATA\n",
     "SPECTRAL_BANDS is 30, but the format names 31"),
    (SPECTRA.replace("SAMPLE_ID", "LAB_L LAB_A LAB_B") + f"BEGIN_DATA\n20 0 0 {NUMBERS}\nEND_DATA\n",
     r"L\* is 20, but the spectrum gives 76.*cannot be of one sample"),
    (HEAD + "BEGIN_DATA_FORMAT\nSPECTRAL_NM SPECTRAL_DEC SPECTRAL_NM SPECTRAL_DEC\nEND_DATA_FORMAT\nBEGIN_DATA\n"
     "400 0.5 700 0.5\n400 0.5 710 0.5\nEND_DATA\n", "column 3, SPECTRAL_NM, does not hold one wavelength"),
)  # fmt: skip

CSV = (
    ("name;L*;a*;b*\nx;50;0\n", "line 2 .x.: 3 cells, but there are 4 columns"),
    ("name;L*;a*;b*\nx;50;0;1.000,5\n", r"line 2 .x.: b\* is '1.000,5'; a number is needed"),
    ("name,L*,a*,b*\nx,50,0,\n", r"b\* is ''; a number is needed"),
    ("name;L*;a*\nx;50;0\n", "no line has headings such as"),
    ("some words\nand more of them\n", "the file is neither CGATS .BEGIN_DATA_FORMAT. nor CxF"),
    ("name;L*;a*;b*\n", "holds no reading"),
    ("nm;one\n400;0.5\n410;0.5\n430;0.5\n", "430 nm follows 410 nm"),
    ("nm;one\n400;0.5\n4100;0.5\n", "the wavelength is 4100; allowed is 300 to 1100"),
    ("nm;one;two\n400;0.5;0.5\n410;0.5\n", "line 3: 2 cells, but there are 3 columns"),
    ("name;L*;a*;b*\nx;50;0;\0\n", "zero bytes, so it is no text"),
    ("name;L*;a*;b*\n" + "x" * 200_001, "line 2: this line has 200,001 characters; allowed are up to 200,000"),
    ("   \n\n", "the file is empty"),
    ("name;L*;C*;h\nx;50;-3;10\n", "the chroma is -3; it must not be below 0"),
)


def cxf(body: str, *, specification: str = "") -> str:
    return (
        f'<CxF xmlns="http://colorexchangeformat.com/CxF3-core"><Resources><ObjectCollection>{body}</ObjectCollection>'
        f"<ColorSpecificationCollection>{specification}</ColorSpecificationCollection></Resources></CxF>"
    )


def thing(values: str) -> str:
    return f'<Object ObjectType="Target" Name="x" Id="1"><ColorValues>{values}</ColorValues></Object>'


CXF = (
    ("<CxF><a></CxF>", "line 1: this is not XML that can be read: mismatched tag"),
    ("<svg/>", "this XML is not CxF: its first element is <svg>"),
    ("<cc:CxF/>", "this is not XML that can be read: unbound prefix"),
    ('<?xml version="1.0" encoding="klingon"?><CxF/>', "this is not XML that can be read"),
    ("<!DOCTYPE CxF [<!ENTITY a 'b'>]><CxF>&a;</CxF>", "declares no document type and no entities"),
    ('<!DOCTYPE CxF SYSTEM "file:///etc/passwd"><CxF/>', "declares no document type and no entities"),
    ("<CxF/>", "no Resources/ObjectCollection/Object"),
    ("<CxF>" + "<a>" * 50 + "</a>" * 50 + "</CxF>", "nested deeper than 40"),
    (cxf(thing("<ColorSRGB><R>1</R><G>1</G><B>1</B></ColorSRGB>")), "holds no reading"),
    (cxf(thing("<ColorCIELab><L>50</L><A>1</A></ColorCIELab>")), "Object x: ColorCIELab/B is ''; a number is needed"),
    (cxf(thing("<ColorCIELab><L>500</L><A>1</A><B>1</B></ColorCIELab>")), r"Object x: L\* is 500"),
    (cxf(thing("<ReflectanceSpectrum>0.5 0.5</ReflectanceSpectrum>")), "nobody says the first wavelength"),
    (cxf(thing('<ReflectanceSpectrum StartWL="400">0.5 0.5</ReflectanceSpectrum>')), "Increment is needed"),
    (cxf(thing('<ReflectanceSpectrum StartWL="x">0.5 0.5</ReflectanceSpectrum>')), "StartWL is 'x'; a number"),
    (cxf(thing('<ReflectanceSpectrum StartWL="400">0.5 five</ReflectanceSpectrum>')), "Increment|'five'"),
    (cxf(thing(f'<ReflectanceSpectrum StartWL="400">{"0.5 " * 3000}</ReflectanceSpectrum>')), "3000 values; allowed"),
    (cxf(thing('<ColorCIELab ColorSpecification="B"><L>5</L><A>1</A><B>1</B></ColorCIELab>'),
         specification='<ColorSpecification Id="A"/>'), "refers to the specification 'B', which is not there"),
    (cxf(thing("<ColorCIEXYZ><X>5</X><Y>5</Y><Z>5</Z></ColorCIEXYZ>")), "X, Y, Z need their white"),
    (cxf(thing(""), specification='<ColorSpecification Id="A"><WavelengthRange Increment="x"/></ColorSpecification>'),
     "WavelengthRange: Increment is 'x'"),
)  # fmt: skip
