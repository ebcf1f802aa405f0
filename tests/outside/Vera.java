import java.io.BufferedReader;
import java.io.FileInputStream;
import java.io.IOException;
import java.io.InputStream;
import java.io.InputStreamReader;
import java.io.PrintStream;
import java.net.URLDecoder;
import java.nio.charset.StandardCharsets;
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
 * Validates PDF files with the veraPDF engine, request after request, until its input ends.
 *
 * <p>A request is one line of tab-separated words: its number, the flavours with commas between
 * them, and the files, percent-encoded. The answer is tab-separated lines, in which a file is
 * known by its place in the request, so that no file name can be mistaken for a verdict:
 *
 * <pre>
 * VERDICT  place  flavour  true|false  assertions-made
 * RULE     place  flavour  clause-test (times): message
 * ERROR    place  flavour  what went wrong
 * END      number of the request
 * </pre>
 *
 * A file may lack its verdict only where an ERROR says why. What is worse ends the process.
 */
public final class Vera {
    private static final int BROKEN = 3;
    private static PrintStream answers;

    private Vera() {}

    public static void main(String[] none) throws IOException, InterruptedException {
        answers = new PrintStream(System.out, false, StandardCharsets.UTF_8);
        System.setOut(System.err); // what a library prints must not stand among the verdicts
        Thread.setDefaultUncaughtExceptionHandler((thread, trouble) -> {
            trouble.printStackTrace();
            Runtime.getRuntime().halt(BROKEN); // no answer at all rather than half of one
        });
        VeraGreenfieldFoundryProvider.initialise();
        BufferedReader requests =
                new BufferedReader(new InputStreamReader(System.in, StandardCharsets.UTF_8));
        for (String line = requests.readLine(); line != null; line = requests.readLine()) {
            String[] request = line.split("\t");
            // The engine remembers the file at hand by thread: a new one knows of no file before.
            Thread work = new Thread(() -> answer(request));
            work.start();
            work.join();
            answers.println("END\t" + request[0]);
            answers.flush();
        }
    }

    private static void answer(String[] request) {
        for (int place = 1; place + 1 < request.length; place++) {
            String path = URLDecoder.decode(request[place + 1], StandardCharsets.UTF_8);
            for (String name : request[1].split(",")) {
                judge(place, path, name);
            }
        }
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
        say("ERROR", place, name, reason);
    }

    private static void say(String kind, int place, String name, String text) {
        String oneLine = text.replaceAll("[\\r\\n]+", " ");
        answers.println(kind + "\t" + place + "\t" + name + "\t" + oneLine);
    }
}
