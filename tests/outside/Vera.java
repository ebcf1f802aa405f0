import java.io.FileInputStream;
import java.io.InputStream;
import java.util.Map;
import java.util.TreeMap;
import org.verapdf.gf.foundry.VeraGreenfieldFoundryProvider;
import org.verapdf.pdfa.Foundries;
import org.verapdf.pdfa.PDFAParser;
import org.verapdf.pdfa.PDFAValidator;
import org.verapdf.pdfa.flavours.PDFAFlavour;
import org.verapdf.pdfa.results.TestAssertion;
import org.verapdf.pdfa.results.ValidationResult;

/**
 * Validates PDF files with the veraPDF engine: {@code java Vera 3a,ua1 FILE...}
 *
 * <p>Prints tab-separated lines, in which a file is known by its place among the arguments, so
 * that no file name can be mistaken for a verdict:
 *
 * <pre>
 * VERDICT  place  flavour  true|false  assertions-made
 * RULE     place  flavour  clause-test (times): message
 * ERROR    place  flavour  what went wrong
 * </pre>
 *
 * Exits 0 when every file got its verdicts, whatever they were, and 2 when one did not.
 */
public final class Vera {
    private static boolean everyFileWasJudged = true;

    private Vera() {}

    public static void main(String[] arguments) {
        VeraGreenfieldFoundryProvider.initialise();
        for (int place = 1; place < arguments.length; place++) {
            for (String name : arguments[0].split(",")) {
                judge(place, arguments[place], name);
            }
        }
        System.exit(everyFileWasJudged ? 0 : 2);
    }

    private static void judge(int place, String path, String name) {
        PDFAFlavour flavour = PDFAFlavour.byFlavourId(name);
        if (!flavour.getId().equals(name)) {
            fail(place, name, "veraPDF knows no such flavour");
            return;
        }
        try (InputStream stream = new FileInputStream(path);
                PDFAParser parser = Foundries.defaultInstance().createParser(stream, flavour);
                PDFAValidator validator =
                        Foundries.defaultInstance().createValidator(flavour, false)) {
            report(place, name, validator.validate(parser));
        } catch (Exception | LinkageError trouble) {
            // A missing library surfaces as a LinkageError; it must not pass for a verdict.
            fail(place, name, trouble.toString());
        }
    }

    private static void report(int place, String name, ValidationResult result) {
        Map<String, Integer> times = new TreeMap<>();
        Map<String, String> messages = new TreeMap<>();
        for (TestAssertion assertion : result.getTestAssertions()) {
            if (assertion.getStatus() == TestAssertion.Status.FAILED) {
                String rule = assertion.getRuleId().getClause()
                        + "-" + assertion.getRuleId().getTestNumber();
                times.merge(rule, 1, Integer::sum);
                messages.putIfAbsent(rule, assertion.getMessage());
            }
        }
        times.forEach((rule, count) -> say("RULE", place, name,
                rule + " (" + count + "x): " + messages.get(rule)));
        say("VERDICT", place, name, result.isCompliant() + "\t" + result.getTotalAssertions());
    }

    private static void fail(int place, String name, String reason) {
        everyFileWasJudged = false;
        say("ERROR", place, name, reason);
    }

    private static void say(String kind, int place, String name, String text) {
        String oneLine = text.replaceAll("[\\r\\n]+", " ");
        System.out.println(kind + "\t" + place + "\t" + name + "\t" + oneLine);
    }
}
